package main

import (
	"context"
	"math"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"tripsim/internal/chart"
	"tripsim/internal/report"
	"tripsim/internal/sim"
)

const sizeHelp = `
Finds the smallest battery, charging unit and panel with which a system carries
the trip: at most the accepted share of the simulated trips may run flat, leave
something unserved, or come closer to the cut-off than the wanted reserve. All
sizes meet the same weather. The classical daily budget is printed beside the answer,
with the reason where they differ.

Without --system, and with several systems, it prints a table of all of them.

  --sizes     sizes to try, for one of battery (Ah), charger (A), panel (W); see
              --of. By default sizes that are commonly sold, several batteries
              side by side included.
  --exact     besides, the smallest size on a continuous scale
  --map       the risk over battery sizes (--sizes) and sizes of charger or panel
              (--across), with the cheapest pair where prices are known

The charging unit that is varied is the one with the largest alternator input
(without any, mains; without any, solar); all its inputs scale alike.

Examples:
  tripsim size scenarios/morocco-october
  tripsim size mytrip --system weekend --of battery --sizes 100,150,200
  tripsim size mytrip --system weekend --map=charger --price-per-ah 9 --price-per-a 12

Exit status: 0 done, 1 failed, 2 bad input.
`

type sizeFlags struct {
	adviceFlags
	priceFlags
	of       []string
	sizes    string
	across   string
	exact    bool
	reserve  float64
	autonomy float64
	mapOf    string
}

var quantities = map[string]sim.Quantity{"battery": sim.BatterySize, "charger": sim.ChargerSize, "panel": sim.PanelSize}

func sizeCommand() *command {
	return &command{
		name: "size", args: "SCENARIO", least: 1, most: 2, // the word after a bare --map
		short: "the smallest battery, charger and panel that hold",
		long:  sizeHelp,
		setup: func(fs *pflag.FlagSet) action {
			var f sizeFlags
			fs.StringSliceVar(&f.of, "of", []string{"battery", "charger", "panel"}, "`what` to size: battery, charger, panel")
			fs.StringVar(&f.sizes, "sizes", "", "`list` of sizes to try, e.g. 100,150,200")
			fs.BoolVar(&f.exact, "exact", false, "also the smallest size on a continuous scale")
			fs.StringVar(&f.mapOf, "map", "", "map of battery against `charger|panel`; charger where it stands alone")
			fs.Lookup("map").NoOptDefVal = "charger"
			fs.StringVar(&f.across, "across", "", "`list` of charger or panel sizes of the map")
			fs.Float64Var(&f.reserve, "reserve", math.NaN(), "wanted state of charge above the cut-off, %; without it as in job.csv")
			fs.Lookup("reserve").DefValue = ""
			fs.Float64Var(&f.autonomy, "autonomy", 3, "days without charging of the classical budget")
			f.priceFlags.add(fs)
			f.adviceFlags.add(fs, "size", 1000)
			return f.act
		},
	}
}

func (f *sizeFlags) act(ctx context.Context, c *console, args []string) error {
	args, err := f.wordOfMap(args)
	if err != nil {
		return err
	}
	quantitiesAsked, err := f.check()
	if err != nil {
		return err
	}
	t, err := f.start(c, args[0])
	if err != nil {
		return err
	}
	if !math.IsNaN(f.reserve) {
		t.goal.Reserve = f.reserve / 100
		t.basis.Goal.Reserve = t.goal.Reserve
	}
	study, err := t.study()
	if err != nil {
		return err
	}
	if f.mapOf != "" {
		return f.mapped(ctx, c, t, study)
	}
	var all []*report.SizeAdvice
	for _, sys := range t.systems {
		a, err := f.advise(ctx, c, t, study, sys, quantitiesAsked)
		if err != nil {
			return err
		}
		all = append(all, a)
	}
	text := all[0].Text
	if len(all) > 1 {
		text = func(s report.Screen) string { return report.SizeOverview(all, s) }
	}
	return f.deliver(ctx, c, t, answer{
		name: "size", text: text,
		json: func() ([]byte, error) { return report.SizeJSON(all) },
		csv:  func() []byte { return report.SizeTable(all, report.DefaultFormat()).CSV() },
	})
}

// wordOfMap takes the word after a bare --map, which the flags leave among the
// arguments.
func (f *sizeFlags) wordOfMap(args []string) ([]string, error) {
	if len(args) < 2 {
		return args, nil
	}
	for i, word := range args {
		if f.mapOf != "" && (word == "charger" || word == "panel") {
			f.mapOf = word
			return slices.Delete(slices.Clone(args), i, i+1), nil
		}
	}
	if f.mapOf != "" {
		return nil, usage("size", "--map: %q is not charger or panel", clean(args[len(args)-1]))
	}
	return nil, usage("size", "too many arguments: %q is one more than it takes", clean(args[1]))
}

func (f *sizeFlags) check() ([]sim.Quantity, error) {
	var out []sim.Quantity
	for _, word := range f.of {
		q, ok := quantities[strings.ToLower(strings.TrimSpace(word))]
		if !ok {
			return nil, usage("size", "--of: %q is not battery, charger or panel%s", clean(word), didYouMean(word, []string{"battery", "charger", "panel"}, ""))
		}
		if !slices.Contains(out, q) {
			out = append(out, q)
		}
	}
	slices.Sort(out)
	switch {
	case len(out) == 0:
		return nil, usage("size", "--of: say what to size: battery, charger or panel")
	case f.mapOf != "" && f.mapOf != "charger" && f.mapOf != "panel":
		return nil, usage("size", "--map: %q is not charger or panel", clean(f.mapOf))
	case f.mapOf == "" && f.across != "":
		return nil, usage("size", "--across needs --map=charger or --map=panel")
	case f.mapOf == "" && f.sizes != "" && len(out) > 1:
		return nil, usage("size", "--sizes needs one of --of battery, --of charger, --of panel")
	case !math.IsNaN(f.reserve) && !(f.reserve >= 0 && f.reserve < 100):
		return nil, usage("size", "--reserve: %g is not 0 to below 100 %%; use e.g. 10", f.reserve)
	case !(f.autonomy > 0 && f.autonomy <= 60):
		return nil, usage("size", "--autonomy: %g is not above 0 and up to 60 days; use e.g. 3", f.autonomy)
	}
	return out, nil
}

// advise sizes one system.
func (f *sizeFlags) advise(ctx context.Context, c *console, t *task, study *sim.Study, sys *sim.System, asked []sim.Quantity) (*report.SizeAdvice, error) {
	prices := f.prices(t.sc)
	a := &report.SizeAdvice{Basis: t.basis, System: sys, Prices: prices}
	for _, q := range asked {
		sizes, err := f.sizesOf(q, sys)
		if err != nil {
			return nil, err
		}
		what := q.String() + " sizes for " + clean(sys.Name)
		z, err := study.SizeFor(ctx, sys, q, sizes, t.goal, f.draws, c.progress(what))
		if err != nil {
			return nil, err
		}
		for i := range z.Points {
			z.Points[i].Price = prices.Of(sys, q, z.Points[i].Size)
		}
		if f.exact {
			a.ExactStep = 1
			most := 4 * z.Points[len(z.Points)-1].Size
			if z.Exact, err = study.SizeExactly(ctx, sys, q, most, a.ExactStep, t.goal, f.draws, c.progress("exact "+what)); err != nil {
				return nil, err
			}
		}
		t.basis.Weather, t.basis.Draws = z.Weather, z.Draws
		a.Sizings = append(a.Sizings, z)
	}
	var err error
	a.Budget, err = study.Budget(sys, f.autonomy)
	return a, err
}

// sizesOf are the sizes to try: those given, or those sold and the system's own.
func (f *sizeFlags) sizesOf(q sim.Quantity, sys *sim.System) ([]sim.Bank, error) {
	if f.sizes != "" {
		least := leastSize(q, sys)
		list, err := f.numbers("sizes", f.sizes, least)
		return sim.Sizes(list), err
	}
	var sizes []sim.Bank
	switch q {
	case sim.BatterySize:
		sizes = sim.BankSizes(sys)
	case sim.ChargerSize:
		sizes = sim.Sizes(sim.ChargerSizes(sys))
		if sim.ChargerSpareable(sys) {
			sizes = append(sizes, sim.Bank{Count: 1})
		}
	default:
		sizes = sim.Sizes(sim.PanelSizes())
	}
	own := sim.Bank{Ah: q.Size(sys), Count: 1}
	if q == sim.BatterySize {
		own.Count = max(1, sys.Battery.Count)
	}
	if own.Ah > 0 && !slices.ContainsFunc(sizes, func(b sim.Bank) bool { return b.Ah == own.Ah }) {
		sizes = append(sizes, own)
	}
	return sizes, nil
}

// leastSize is the least size that can be tried.
func leastSize(q sim.Quantity, sys *sim.System) float64 {
	if q == sim.PanelSize || q == sim.ChargerSize && sim.ChargerSpareable(sys) {
		return 0
	}
	return 0.1
}

// mapped runs a map of one system.
func (f *sizeFlags) mapped(ctx context.Context, c *console, t *task, study *sim.Study) error {
	if len(t.systems) != 1 {
		return usage("size", "--map is for one system; choose it with --system")
	}
	sys, across := t.systems[0], quantities[f.mapOf]
	ah, err := f.mapSizes("sizes", f.sizes, sim.BatterySize, sys, 1)
	if err != nil {
		return err
	}
	others, err := f.mapSizes("across", f.across, across, sys, leastSize(across, sys))
	if err != nil {
		return err
	}
	m, err := study.SizeMap(ctx, sys, across, ah, others, t.goal, f.prices(t.sc), f.draws, c.progress("sizes"))
	if err != nil {
		return err
	}
	t.basis.Weather, t.basis.Draws = m.Weather, m.Draws
	a := &report.MapAdvice{Basis: t.basis, Map: m}
	return f.deliver(ctx, c, t, answer{
		name: "size-map", text: a.Text, json: a.JSON, csv: func() []byte { return a.Table().CSV() },
		pictures: func(ctx context.Context) ([]report.File, error) {
			return f.draw(ctx, "size-map", func(opts ...chart.Option) (*chart.Picture, error) {
				return chart.SizeMap(chart.SizesOf(m, t.tripName(), t.sc.Job.Currency, opts...), opts...)
			})
		},
	})
}

// mapSizes are the values along a side of the map: those given, or even steps
// from a quarter to three times what the system has.
func (f *sizeFlags) mapSizes(flag, list string, q sim.Quantity, sys *sim.System, least float64) ([]float64, error) {
	if list != "" {
		return f.numbers(flag, list, least)
	}
	has := q.Size(sys)
	steps := map[sim.Quantity][]float64{sim.BatterySize: {10, 20, 25, 50, 100}, sim.ChargerSize: {5, 10, 20}, sim.PanelSize: {25, 50, 100}}[q]
	high := map[sim.Quantity]float64{sim.BatterySize: max(150, 2.5*has), sim.ChargerSize: max(60, 2*has), sim.PanelSize: max(400, 2.5*has)}[q]
	step := steps[len(steps)-1]
	for i := len(steps) - 1; i >= 0 && high/step < 8; i-- {
		step = steps[i]
	}
	var out []float64
	for v := step; v <= high+1e-9; v += step {
		out = append(out, v)
	}
	if q == sim.PanelSize {
		out = append([]float64{0}, out...)
	}
	return out, nil
}
