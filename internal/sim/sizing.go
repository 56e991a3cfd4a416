package sim

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"tripsim/internal/profiles"
)

// Bank is a size in which a battery can be bought: Count equal batteries that
// hold Ah together.
type Bank struct {
	Ah    float64
	Count int
}

// Sizing is the answer to "what is the smallest that keeps the risk".
type Sizing struct {
	Quantity Quantity
	System   *System // as asked about
	Goal     Goal
	Draws    int
	Weather  string
	Points   []SizePoint // rising in size
	// Best is the index of the smallest size that holds; -1 when none does.
	Best int
	// Certain: the interval of the best size lies below the target and that of
	// the next smaller one above it. Otherwise NeedDraws is about how many draws
	// would settle it (0 = no number within MaxDraws).
	Certain   bool
	NeedDraws int
	// Monotone is false when some larger size does worse beyond its interval.
	Monotone bool
	// Exact is the continuous answer, with the step it was searched to; NaN
	// when it was not asked for or nothing up to the largest size holds.
	Exact float64
}

// SizePoint is one size.
type SizePoint struct {
	Size       float64 // Ah, A or W
	Count      int     // batteries; 1 for others
	System     *System
	Flat       Proportion
	Failed     Proportion // not carried; see Goal
	UnservedWh float64    // mean per trip
	Reserve    float64    // mean of the lowest state of charge above the cut-off
	Price      float64    // NaN = not known
	Holds      bool
}

// BankSizes lists the banks that can be bought for a system's chemistry and
// voltage: one battery of each common size, and up to four equal ones where that
// gives more than fewer of them can.
func BankSizes(sys *System) []Bank {
	sizes := profiles.CapacitiesAh(sys.Battery.Chemistry.ID, sys.Battery.NominalV)
	var out []Bank
	most := 0.0
	for n := 1; n <= 4; n++ {
		last := most
		for _, ah := range sizes {
			if total := ah * float64(n); total > last {
				out = append(out, Bank{total, n})
				most = max(most, total)
			}
		}
	}
	return out
}

// ChargerSizes lists the ratings (A) in which units of the kind that ChargerOf
// picks are commonly sold, at the system's voltage.
func ChargerSizes(sys *System) []float64 {
	of := func(c *profiles.Charger) float64 { return c.AlternatorA }
	if u := ChargerOf(sys); u >= 0 && sys.Chargers[u].AlternatorA == 0 {
		of = func(c *profiles.Charger) float64 { return c.MainsA }
		if sys.Chargers[u].MainsA == 0 {
			of = func(c *profiles.Charger) float64 { return c.SolarA }
		}
	}
	var out []float64
	for _, c := range profiles.Chargers() {
		if a := of(&c); a > 0 && c.NominalV == sys.Battery.NominalV {
			out = append(out, a)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// PanelSizes lists panel powers (W) that are tried by default; 0 = no panel.
func PanelSizes() []float64 { return []float64{0, 100, 160, 200, 300, 400, 500, 600, 800} }

// Sizes turns plain sizes into what SizeFor takes.
func Sizes(sizes []float64) []Bank {
	out := make([]Bank, len(sizes))
	for i, v := range sizes {
		out[i] = Bank{v, 1}
	}
	return out
}

// SizeFor finds the smallest of the given sizes of a quantity that meets the
// goal, every size on the same draws. Batteries take Bank.Count into account.
// All sizes are run: a larger battery is not better in every single draw (it
// loses more by itself, and reconnects later), so no size is skipped.
func (s *Study) SizeFor(ctx context.Context, sys *System, q Quantity, sizes []Bank, goal Goal, draws int, progress Progress) (*Sizing, error) {
	draws, err := s.drawsFor(draws)
	if err != nil {
		return nil, err
	}
	if sizes, err = checkSizes(q, sizes); err != nil {
		return nil, err
	}
	z := &Sizing{Quantity: q, System: sys, Goal: goal, Draws: draws, Weather: s.source.Describe(), Best: -1, Exact: math.NaN(), Monotone: true}
	g, systems := s.gridFor(sys, q, sizes, goal)
	g.whole = true
	cells, err := g.run(ctx, draws, progress)
	if err != nil {
		return nil, err
	}
	for i, size := range sizes {
		c := q.cell(cells, i)
		n := float64(draws)
		z.Points = append(z.Points, SizePoint{
			Size: size.Ah, Count: size.Count, System: systems[i], Flat: Wilson(int(c.flat), draws),
			Failed: Wilson(int(c.failed), draws), UnservedWh: float64(c.unserved) / 1e3 / n, Reserve: float64(c.reserve) / 1e6 / n, Price: math.NaN(),
		})
	}
	z.judge()
	return z, nil
}

func checkSizes(q Quantity, sizes []Bank) ([]Bank, error) {
	if len(sizes) == 0 {
		return nil, fmt.Errorf("no %s size to try", q)
	}
	sizes = slices.Clone(sizes)
	slices.SortFunc(sizes, func(a, b Bank) int {
		if a.Ah != b.Ah {
			return int(math.Copysign(1, a.Ah-b.Ah))
		}
		return a.Count - b.Count
	})
	sizes = slices.CompactFunc(sizes, func(a, b Bank) bool { return a.Ah == b.Ah })
	if least := sizes[0].Ah; math.IsNaN(least) || least < 0 || least == 0 && q == BatterySize || math.IsInf(sizes[len(sizes)-1].Ah, 0) {
		return nil, fmt.Errorf("a %s of %g %s cannot be tried", q, least, q.Unit())
	}
	return sizes, nil
}

// gridFor lays a list of sizes out as a grid of one column or one row.
func (s *Study) gridFor(sys *System, q Quantity, sizes []Bank, goal Goal) (*grid, []*System) {
	g := &grid{study: s, reserve: goal.Reserve}
	systems := make([]*System, len(sizes))
	if q == BatterySize {
		g.columns = []column{{unit: -1, panels: 1}}
		for i, b := range sizes {
			systems[i] = WithBank(sys, b.Ah, b.Count)
		}
		g.rows = systems
		return g, systems
	}
	values := make([]float64, len(sizes))
	for i, b := range sizes {
		values[i] = b.Ah
		systems[i] = q.Resized(sys, b.Ah)
	}
	var base *System
	base, g.columns = acrossColumns(sys, q, values)
	g.rows = []*System{base}
	return g, systems
}

// acrossColumns gives the columns of a grid for sizes of a charger or of the
// panels, and the system that its rows are made from.
func acrossColumns(sys *System, q Quantity, sizes []float64) (*System, []column) {
	columns := make([]column, len(sizes))
	switch q {
	case ChargerSize:
		u := ChargerOf(sys)
		if u < 0 {
			sys, u = WithChargerA(sys, -1, max(1, slices.Max(sizes))), len(sys.Chargers)
		}
		for i, a := range sizes {
			columns[i] = column{unit: u, ratingA: a, panels: 1}
		}
	default:
		if sys.PanelW() == 0 {
			sys = WithPanelW(sys, slices.Max(sizes))
		}
		watts := sys.PanelW()
		for i, w := range sizes {
			columns[i] = column{unit: -1, panels: w / watts}
		}
	}
	return sys, columns
}

// judge finds the smallest size that holds, and how sure that is.
func (z *Sizing) judge() {
	target := z.Goal.FlatRisk
	for i := range z.Points {
		p := &z.Points[i]
		p.Holds = p.Failed.Share <= target
		if p.Holds && z.Best < 0 {
			z.Best = i
		}
		if i > 0 && p.Failed.Low > z.Points[i-1].Failed.High {
			z.Monotone = false
		}
	}
	// What has to be told from the target: the best size and the one below it,
	// or the largest when none holds.
	var open []Proportion
	if z.Best < 0 {
		if p := z.Points[len(z.Points)-1].Failed; p.Low <= target {
			open = append(open, p)
		}
	} else {
		if p := z.Points[z.Best].Failed; p.High > target {
			open = append(open, p)
		}
		if z.Best > 0 && z.Points[z.Best-1].Failed.Low <= target {
			open = append(open, z.Points[z.Best-1].Failed)
		}
	}
	z.Certain = len(open) == 0
	for _, p := range open {
		n := drawsToSettle(p, target)
		if n == 0 {
			z.NeedDraws = 0
			return
		}
		z.NeedDraws = max(z.NeedDraws, n)
	}
}

// drawsToSettle is about how many draws it takes until the 95 % interval of a
// share leaves the target out; 0 = more than MaxDraws.
func drawsToSettle(p Proportion, target float64) int {
	share := p.Share
	gap := math.Abs(share - target)
	v := math.Max(share*(1-share), target*(1-target))
	n := math.Ceil(z95 * z95 * v / (gap * gap))
	if !(n <= MaxDraws) {
		return 0
	}
	return roundUp2(int(n))
}

// roundUp2 rounds up to two significant digits.
func roundUp2(n int) int {
	unit := 1
	for n/unit >= 100 {
		unit *= 10
	}
	return (n + unit - 1) / unit * unit
}

var errNothingHolds = errors.New("no size up to the largest that is tried meets the goal")

// SizeExactly finds the smallest size on a continuous scale to within tolerance
// (in the quantity's unit): a search on a geometric ladder up to most, then in
// ten parts each time, all on the same draws. NaN when no size up to most holds.
func (s *Study) SizeExactly(ctx context.Context, sys *System, q Quantity, most, tolerance float64, goal Goal, draws int, progress Progress) (float64, error) {
	draws, err := s.drawsFor(draws)
	if err != nil {
		return 0, err
	}
	low, high, err := 0.0, most, error(nil)
	ladder := make([]float64, 0, 12)
	for v := most; v > tolerance && len(ladder) < 12; v /= 2 {
		ladder = append(ladder, v)
	}
	slices.Reverse(ladder)
	if q == PanelSize || q == ChargerSize && ChargerSpareable(sys) {
		ladder = append([]float64{0}, ladder...)
	}
	for {
		if low, high, err = s.narrow(ctx, sys, q, low, ladder, goal, draws, progress); err != nil {
			if errors.Is(err, errNothingHolds) {
				return math.NaN(), nil
			}
			return 0, err
		}
		if high-low <= tolerance {
			return high, nil
		}
		ladder = ladder[:0]
		parts := min(10, int(math.Ceil((high-low)/tolerance)))
		for i := 1; i <= parts; i++ {
			ladder = append(ladder, low+(high-low)*float64(i)/float64(parts))
		}
	}
}

// cell is that of size i: batteries are the rows of a grid, the rest its columns.
func (q Quantity) cell(cells [][]gridCell, i int) *gridCell {
	if q == BatterySize {
		return &cells[i][0]
	}
	return &cells[0][i]
}

// narrow runs a rising ladder and returns its smallest rung that holds and the
// one below it.
func (s *Study) narrow(ctx context.Context, sys *System, q Quantity, below float64, ladder []float64, goal Goal, draws int, progress Progress) (low, high float64, err error) {
	g, _ := s.gridFor(sys, q, Sizes(ladder), goal)
	cells, err := g.run(ctx, draws, progress)
	if err != nil {
		return 0, 0, err
	}
	for i, v := range ladder {
		c := q.cell(cells, i)
		if float64(c.failed) <= goal.FlatRisk*float64(draws) {
			if i == 0 && v == 0 {
				return 0, 0, nil
			}
			if i > 0 {
				below = ladder[i-1]
			}
			return below, v, nil
		}
	}
	return 0, 0, errNothingHolds
}

// At is the index of the point with a size; -1 when it was not tried.
func (z *Sizing) At(size float64) int {
	return slices.IndexFunc(z.Points, func(p SizePoint) bool { return math.Abs(p.Size-size) < 1e-9*math.Max(1, size) })
}
