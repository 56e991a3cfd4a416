package weather

import (
	"fmt"
	"math"
	"strings"
	"time"

	"tripsim/internal/solar"
)

// ReplayMode says which days of a weather file stand for the trip's days.
type ReplayMode int

const (
	// SameDates takes the file's days of the trip's calendar dates: one draw
	// for each year of the file that has them all. A trip over the new year
	// goes on in the file's next year, or, in a file of one year, in its
	// January; February 29 is February 28 where the year has none.
	SameDates ReplayMode = iota
	// EveryStart lets the trip start on every day of the file that lies in the
	// calendar month of the trip's start, in every year: an ensemble of real
	// stretches of weather. A file of one year is run round.
	EveryStart
)

func (m ReplayMode) String() string {
	if m == EveryStart {
		return "every start in the month"
	}
	return "same dates"
}

// A replay is a Source from a file. All that depends on the trip's clock and
// sun is settled beforehand; a draw only picks days.
type replay struct {
	plan   *Plan
	rec    *Record
	starts [][]int32 // per draw: the file's day for each clock day
	first  int32     // the first clock day, counted from the trip's first date
	last   int32
	pieces []piece // sun: step after step
	upTo   []int32 // per step: end of its pieces
	temp   []tempPick
	liftK  []float64 // per step: from the file's height to the trip's; nil = none known
	dhi    []float64 // per file row: diffuse share of the global, NaN unknown
	text   string
}

// A piece carries a share of a file interval's energy to a step.
type piece struct {
	day, row int32
	factor   float64 // W/m2 of the step per W/m2 of the file's interval
}

// tempPick is a linear interpolation between two file rows.
type tempPick struct {
	dayA, rowA, dayB, rowB int32
	f                      float64
}

// wrongClockShare is the share of a file's sunshine that may fall when the sun
// is down before its clock is taken to be wrong.
const wrongClockShare = 0.10

// Replay makes a source of the record's own weather. Irradiance is taken to
// the trip's steps with its energy kept, shaped within the file's intervals as
// the clear sky; overrides of days do not apply. A file without diffuse is
// split from its beam, or else by Erbs, Klein & Duffie 1982. If the file says
// where it was made, its clock is moved by whole quarter hours so that its
// noon falls at the trip's; if it says how high, its air temperature is brought
// to the heights that the trip gives, by the lapse rate of the climate around
// (the sun stays as it is). It is an error when the file has not the dates, or
// when its sun shines in the trip's night.
func (p *Plan) Replay(rec *Record, mode ReplayMode) (Source, error) {
	if rec == nil || rec.days == 0 {
		return nil, fmt.Errorf("no weather file")
	}
	r := &replay{plan: p, rec: rec}
	shift := make([]time.Duration, len(p.days))
	for i := range p.days {
		if !math.IsNaN(rec.Place.LonDeg) {
			hours := math.Remainder(p.days[i].spec.Place.LonDeg-rec.Place.LonDeg, 360) / 15
			shift[i] = time.Duration(math.Round(hours*4)) * 15 * time.Minute
		}
	}
	r.cut(shift)
	r.findClockDays()
	switch mode {
	case SameDates:
		r.sameDates()
	case EveryStart:
		r.everyStart()
	default:
		return nil, fmt.Errorf("unknown replay mode %d", mode)
	}
	first, last := rec.Span()
	from, to := p.days[0].spec.Date, p.days[len(p.days)-1].spec.Date
	if len(r.starts) == 0 {
		return nil, fmt.Errorf("%s: covers %s to %s and has no %d days in a row for a trip from %s to %s (%s)",
			rec.Name, first.Format(time.DateOnly), last.Format(time.DateOnly), len(p.days), from.Format(time.DateOnly), to.Format(time.DateOnly), mode)
	}
	if share := r.nightShare(); share > wrongClockShare {
		return nil, fmt.Errorf("%s: %.0f %% of its sun falls while the sun is below the horizon of the trip: is the time zone of the file right, or does it belong to another part of the world?",
			rec.Name, 100*share)
	}
	r.diffuse()
	r.lift()
	r.describe(mode)
	return r, nil
}

// cut settles how the file's intervals share out their energy among the steps.
func (r *replay) cut(shift []time.Duration) {
	p, step, file := r.plan, r.plan.grid.Step, r.rec.Step
	origin := p.days[0].spec.Date
	perDay := int64(r.rec.perDay)
	rows := map[int64]*struct{ piece, covered, whole float64 }{}
	type cutPiece struct {
		row    int64
		energy float64
		width  time.Duration
	}
	var cuts []cutPiece
	r.upTo, r.temp = make([]int32, len(p.intervals)), make([]tempPick, len(p.intervals))
	for i := range p.intervals {
		start := p.stepStart(i)
		place := p.grid.Places[i]
		move := r.rec.UTCOffset + shift[p.grid.Day[i]]
		at := start.Add(move).Sub(origin) // since midnight of the first date by the file's clock
		for from := at; from < at+step; {
			row := floorDiv(int64(from), int64(file))
			to := min(at+step, time.Duration(row+1)*file)
			iv := p.intervals[i]
			if to-from != step {
				iv = solar.IntervalAt(start.Add(from-at), to-from, place, p.grid.Linke)
			}
			e := (iv.ClearGHIWm2 + 1e-3*iv.I0HorizWm2) * (to - from).Hours()
			cuts = append(cuts, cutPiece{row, e, to - from})
			sum := rows[row]
			if sum == nil {
				whole := solar.IntervalAt(origin.Add(time.Duration(row)*file-move), file, place, p.grid.Linke)
				sum = &struct{ piece, covered, whole float64 }{whole: (whole.ClearGHIWm2 + 1e-3*whole.I0HorizWm2) * file.Hours()}
				rows[row] = sum
			}
			sum.piece += e
			sum.covered += (to - from).Hours()
			from = to
		}
		r.upTo[i] = int32(len(cuts))
		mid := float64(at+step/2)/float64(file) - r.rec.tempAt
		a := int64(math.Floor(mid))
		r.temp[i] = tempPick{
			int32(floorDiv(a, perDay)), int32(mod(a, perDay)),
			int32(floorDiv(a+1, perDay)), int32(mod(a+1, perDay)), mid - float64(a),
		}
	}
	r.pieces = make([]piece, len(cuts))
	for j, c := range cuts {
		sum := rows[c.row]
		whole := sum.whole
		if math.Abs(sum.covered-file.Hours()) < 1e-9 {
			whole = sum.piece
		}
		share := c.width.Hours() / file.Hours()
		if whole > 1e-9 {
			share = c.energy / whole
		}
		r.pieces[j] = piece{int32(floorDiv(c.row, perDay)), int32(mod(c.row, perDay)), share * file.Hours() / step.Hours()}
	}
}

func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b != 0 && (a < 0) != (b < 0) {
		q--
	}
	return q
}

func mod(a, b int64) int64 { return a - floorDiv(a, b)*b }

// findClockDays finds the range of days by the file's clock that the steps
// touch, counted from the first date.
func (r *replay) findClockDays() {
	r.first, r.last = r.pieces[0].day, r.pieces[0].day
	for _, c := range r.pieces {
		r.first, r.last = min(r.first, c.day), max(r.last, c.day)
	}
	for _, t := range r.temp {
		r.first, r.last = min(r.first, t.dayA), max(r.last, t.dayB)
	}
}

// sameDates adds a draw for each year of the file that has the trip's dates.
func (r *replay) sameDates() {
	fileFirst, fileLast := r.rec.Span()
	date := r.plan.days[0].spec.Date
	for year := fileFirst.Year() - 1; year <= fileLast.Year(); year++ {
		day := func(offset int32) (int, bool) {
			d := date.AddDate(0, 0, int(offset))
			y, m, dom := year+d.Year()-date.Year(), d.Month(), d.Day()
			if r.rec.WholeYear() {
				y = fileFirst.Year()
			}
			if m == time.February && dom == 29 && time.Date(y, m, dom, 0, 0, 0, 0, time.UTC).Month() != m {
				dom = 28
			}
			i := int(time.Date(y, m, dom, 0, 0, 0, 0, time.UTC).Sub(fileFirst).Hours() / 24)
			return i, i >= 0 && i < r.rec.days
		}
		r.addDraw(day)
		if r.rec.WholeYear() {
			return
		}
	}
}

// everyStart adds a draw for each day of the file in the trip's first month.
func (r *replay) everyStart() {
	fileFirst, _ := r.rec.Span()
	month := r.plan.days[0].spec.Date.Month()
	for start := range r.rec.days {
		if fileFirst.AddDate(0, 0, start).Month() != month {
			continue
		}
		r.addDraw(func(offset int32) (int, bool) {
			i := start + int(offset)
			if r.rec.WholeYear() {
				i = int(mod(int64(i), int64(r.rec.days)))
			}
			return i, i >= 0 && i < r.rec.days
		})
	}
}

// addDraw keeps a draw when the file has every day of the trip; the hours by
// which the trip's days stick out over the file's clock days at either end
// repeat the nearest day.
func (r *replay) addDraw(day func(offset int32) (int, bool)) {
	trip := int32(len(r.plan.days))
	pick := make([]int32, 0, r.last-r.first+1)
	for o := r.first; o <= r.last; o++ {
		i, ok := day(o)
		if !ok && o < 0 {
			i, ok = day(0)
		}
		if !ok && o >= trip {
			i, ok = day(trip - 1)
		}
		if !ok {
			return
		}
		pick = append(pick, int32(i))
	}
	r.starts = append(r.starts, pick)
}

// nightShare is the share of the first draw's sun in file intervals that have
// no sun at the trip's place.
func (r *replay) nightShare() float64 {
	var night, all float64
	from := int32(0)
	for i, to := range r.upTo {
		for _, c := range r.pieces[from:to] {
			e := c.factor * r.rec.ghi[int(r.starts[0][c.day-r.first])*r.rec.perDay+int(c.row)]
			all += e
			if r.plan.intervals[i].I0HorizWm2 <= 0 {
				night += e
			}
		}
		from = to
	}
	if all <= 0 {
		return 0
	}
	return night / all
}

// diffuse settles the diffuse share of each file row from its own diffuse, or
// from its beam and the sun's height at the file's place (or the trip's).
func (r *replay) diffuse() {
	rec := r.rec
	r.dhi = make([]float64, len(rec.ghi))
	place := rec.Place
	if math.IsNaN(place.LatDeg) {
		place = r.plan.days[0].spec.Place
	}
	for i, g := range rec.ghi {
		r.dhi[i] = math.NaN()
		switch {
		case g <= 0:
		case !math.IsNaN(rec.dhi[i]):
			r.dhi[i] = clamp(rec.dhi[i]/g, 0, 1)
		case !math.IsNaN(rec.dni[i]):
			start := rec.first.Add(time.Duration(i)*rec.Step - rec.UTCOffset)
			cosZ := solar.IntervalAt(start, rec.Step, place, 0).CosZ
			r.dhi[i] = clamp(1-rec.dni[i]*cosZ/g, 0, 1)
		}
	}
}

func (r *replay) describe(mode ReplayMode) {
	var b strings.Builder
	first, last := r.rec.Span()
	fmt.Fprintf(&b, "weather file %s, ", r.rec.Name)
	if r.rec.Typical {
		b.WriteString("a typical year")
	} else {
		fmt.Fprintf(&b, "%s to %s", first.Format(time.DateOnly), last.Format(time.DateOnly))
	}
	fmt.Fprintf(&b, ", %s", mode)
	if len(r.starts) > 1 {
		fmt.Fprintf(&b, " (%d stretches)", len(r.starts))
	}
	if !math.IsNaN(r.rec.Place.LatDeg) {
		a, c := unitVector(r.rec.Place.LatDeg, r.rec.Place.LonDeg), r.plan.days[0].spec.Place
		u := unitVector(c.LatDeg, c.LonDeg)
		km := earthRadiusM / 1000 * math.Acos(clamp(a[0]*u[0]+a[1]*u[1]+a[2]*u[2], -1, 1))
		fmt.Fprintf(&b, ", made %.0f km from the first day's place", km)
	}
	b.WriteString(r.liftText())
	for _, n := range r.rec.Notes {
		b.WriteString("; " + n)
	}
	r.text = b.String()
}

func (r *replay) Draws() int       { return len(r.starts) }
func (r *replay) Describe() string { return r.text }

// maxBeamShare is the largest beam on the horizontal, as a share of the light
// outside the air, that a replayed step may have; more is taken as diffuse.
// Close to sunrise the quotient of small numbers would give beams that no sun has.
const maxBeamShare = 0.80

// Fill replays draw k; numbers beyond the last start over.
func (r *replay) Fill(k uint64, dst *Series) {
	p, rec := r.plan, r.rec
	pick := r.starts[k%uint64(len(r.starts))]
	index := func(day, row int32) int { return int(pick[day-r.first])*rec.perDay + int(row) }
	for d := range dst.Clearness {
		dst.Clearness[d] = 0
	}
	from := int32(0)
	for i, to := range r.upTo {
		var ghi, dhi float64
		known := true
		for _, c := range r.pieces[from:to] {
			j := index(c.day, c.row)
			g := c.factor * rec.ghi[j]
			ghi += g
			if g > 0 {
				known = known && !math.IsNaN(r.dhi[j])
				dhi += g * r.dhi[j]
			}
		}
		from = to
		i0 := p.intervals[i].I0HorizWm2
		if !known {
			dhi = solar.SplitErbsWm2(ghi, i0)
		}
		dst.GHIWm2[i], dst.DHIWm2[i] = ghi, clamp(dhi, min(ghi, max(0, ghi-maxBeamShare*i0)), ghi)
		dst.Clearness[p.grid.Day[i]] += ghi
		t := &r.temp[i]
		a, b := rec.temp[index(t.dayA, t.rowA)], rec.temp[index(t.dayB, t.rowB)]
		dst.AirTempC[i] = a + t.f*(b-a)
		if r.liftK != nil {
			dst.AirTempC[i] += r.liftK[i]
		}
	}
	for d := range dst.Clearness {
		if i0 := p.days[d].i0; i0 > 0 {
			dst.Clearness[d] /= i0
		} else {
			dst.Clearness[d] = 0
		}
	}
}

// nightCheck tells an EPW file whose own place and clock put the sun into the
// night: a wrong time zone or position in the LOCATION line.
func (r *Record) nightCheck(bad *problems) {
	var night, all float64
	for i, g := range r.ghi {
		if g <= 20 {
			continue
		}
		all += g
		start := r.first.Add(time.Duration(i)*r.Step - r.UTCOffset)
		if solar.PositionAt(start.Add(r.Step/2), r.Place).ZenithDeg > 97 {
			night += g
		}
	}
	if all > 0 && night/all > 0.02 {
		bad.add(1, "time zone", "%.0f %% of the file's sun falls while the sun is below the horizon at its place: longitude or time zone of the LOCATION line is wrong", 100*night/all)
	}
}
