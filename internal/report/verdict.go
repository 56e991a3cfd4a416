package report

import (
	"math"
	"sort"
	"strings"

	"tripsim/internal/sim"
)

// Judgement is the answer to the customer's question for one system.
type Judgement int

// The judgements, best first.
const (
	Carries    Judgement = iota // carries the trip
	InPart                      // as Carries, but AC appliances have no outlet
	Thin                        // not carried, for want of reserve alone
	Risky                       // too many simulated trips go flat or leave something unserved
	FallsShort                  // leaves something unserved in typical weather
	RunsFlat                    // disconnected at its cut-off in typical weather
)

func (j Judgement) String() string {
	return [...]string{wordCarries, wordInPart, wordThin, wordRisky, wordLacks, wordFlat}[j]
}

// Mark is how the judgement stands out in a table.
func (j Judgement) Mark() Mark {
	return [...]Mark{NoMark, WarnMark, WarnMark, WarnMark, WarnMark, BadMark}[j]
}

const (
	// negligibleWh is energy that no one misses over a trip, Wh.
	negligibleWh = 1
	// coldCauseH is for how long charge is refused before that is told as the cause, h.
	// Common practice, no source.
	coldCauseH = 1
	// thinReserve is a reserve above the cut-off that deserves a word of
	// caution, 0..1. Common practice, no source.
	thinReserve = 0.05
)

// Goal is what the adviser asks of a system; see sim.Goal, which says when a trip
// is carried.
type Goal struct {
	FlatRisk float64 // accepted risk: share of simulated trips that may not be carried, 0..1
	Reserve  float64 // wanted state of charge above the cut-off at all times, 0..1
}

// Judge weighs one system: its typical run and, if there is one, its risk. It
// carries the trip when the typical run is carried and no more of the simulated
// trips than accepted are not.
func Judge(r *sim.Result, risk *sim.Risk, goal Goal) Judgement {
	switch {
	case r.FlatDays > 0 || r.FlatH > 0:
		return RunsFlat
	case r.Total.UnservedWh > negligibleWh:
		return FallsShort
	case missed(risk, 0) > goal.FlatRisk:
		return Risky
	case !r.Carried(goal.Reserve) || missed(risk, goal.Reserve) > goal.FlatRisk:
		return Thin
	case len(withoutOutlet(r, NoInverter, SmallInverter, InverterOff)) > 0:
		return InPart
	}
	return Carries
}

// missed is the share of simulated trips that are not carried; 0 without any.
func missed(risk *sim.Risk, reserve float64) float64 {
	if risk == nil || risk.Draws == 0 {
		return 0
	}
	return risk.NotCarried(reserve).Share
}

// apart writes two numbers with a unit, with as many decimals (up to three) as it
// takes to tell them from each other.
func apart(a, b float64, unit string, f Format) (string, string) {
	decimals := 0
	for decimals < 3 && a != b && f.Number(a, decimals) == f.Number(b, decimals) {
		decimals++
	}
	return f.With(a, decimals, unit), f.With(b, decimals, unit)
}

// Verdict says in one plain sentence whether the system carries the trip in this
// weather, with a further one for each thing that needs saying besides.
func Verdict(r *sim.Result, f Format) string { return verdict(r, nil, Goal{FlatRisk: 1}, f) }

// VerdictOn is Verdict with the simulated trips and the goal taken into account;
// risk may be nil.
func VerdictOn(r *sim.Result, risk *sim.Risk, goal Goal, f Format) string {
	s := verdict(r, risk, goal, f)
	if risk != nil && risk.Draws > 0 {
		s += " " + riskText(risk, goal, true, f)
	}
	return s
}

func verdict(r *sim.Result, risk *sim.Risk, goal Goal, f Format) string {
	name := Describe(r.System, f)
	low, date, place := f.Percent(r.LowSoC), "", ""
	if day := LowestDay(r); day != nil {
		date, place = f.Day(day.Date), placeName(day.Place)
	}
	j := Judge(r, risk, goal)
	var s string
	switch reserve, wanted := apart(100*r.Reserve(), 100*goal.Reserve, textPoints, f); {
	case j == RunsFlat:
		s = f.Text(textFlat, name, f.Number(float64(r.FlatDays), 0),
			f.Count(len(r.Days), textDay, textDays), firstFlat(r, f), f.With(r.Total.UnservedWh, 0, "Wh"))
	case j == FallsShort:
		s = f.Text(textLacks, name, f.With(r.Total.UnservedWh, 0, "Wh"), unservedLoads(r, f, 3), low, date, place) + cutBy(r, f)
	case j == Risky:
		s = f.Text(textTypically, name, low, date, place)
	case j == Thin && r.Carried(goal.Reserve):
		s = f.Text(textThinAtTimes, name, low, date, place, wanted, CutOff(r, f))
	case j == Thin:
		s = f.Text(textThin, name, low, date, place, reserve, CutOff(r, f), wanted)
	case r.Reserve() < thinReserve:
		s = f.Text(textBarely, name, low, date, place, f.With(100*r.Reserve(), 0, textPoints), CutOff(r, f))
	default:
		s = f.Text(textCarries, name, low, date, place)
	}
	if h := r.TooColdH(); j >= Thin && h >= coldCauseH && !(j == FallsShort && cutBy(r, f) != "") {
		s += " " + f.Text(textTooCold, f.Hours(h))
	}
	return s + besides(r, f)
}

// besides adds what needs saying next to the verdict.
func besides(r *sim.Result, f Format) string {
	s := ""
	if shed := r.Total.ShedWh; shed > negligibleWh {
		s += " " + f.Text(textSheds, f.With(shed, 0, "Wh"))
	}
	for _, lack := range []struct {
		text  string
		names []string
	}{{textNoOutlet, withoutOutlet(r, NoInverter)}, {textTooSmall, withoutOutlet(r, SmallInverter)}, {textOffThen, withoutOutlet(r, InverterOff)}} {
		if len(lack.names) > 0 {
			s += " " + f.Text(lack.text, listed(lack.names, 4, f))
		}
	}
	for i := range r.Loads {
		if l := &r.Loads[i]; l.CouldNotHold {
			s += " " + f.Text(textWarm, sentenceName(l.Name), f.Temperature(l.WarmestC))
		}
	}
	return s
}

// cutBy says what cut appliances off for most of the time, though the battery was
// not flat; "" when nothing is known to.
func cutBy(r *sim.Result, f Format) string {
	var worst *sim.Event
	for i := range r.Events {
		e := &r.Events[i]
		switch e.Kind {
		case sim.Overload, sim.OverCurrent, sim.LowVoltage:
			if worst == nil || e.Hours > worst.Hours {
				worst = e
			}
		}
	}
	if worst == nil {
		return ""
	}
	return " " + upperFirst(detailText(worst, f)) + "."
}

// riskText says how often the system runs flat over the simulated trips.
func riskText(k *sim.Risk, goal Goal, define bool, f Format) string {
	s := f.Text(textRisk, f.Number(float64(k.FlatDraws), 0), f.Number(float64(k.Draws), 0),
		f.Share(k.Flat.Share), f.Share(k.Flat.Low), f.Share(k.Flat.High))
	return s + missedText(k, goal, define, f)
}

// missedText adds how many of the simulated trips are not carried, where more are
// than run flat, and whether that is accepted; define says besides what counts as
// not carried.
func missedText(k *sim.Risk, goal Goal, define bool, f Format) string {
	p, s := k.NotCarried(goal.Reserve), ""
	if p != k.Flat {
		why := ""
		if define {
			why = f.Text(textMissedWhy, reserveClause(goal.Reserve, f))
		}
		s = " " + f.Text(textMissed, f.Share(p.Share), ShareInterval(p, f), why)
	}
	if p.Share > goal.FlatRisk {
		s += " " + f.Text(textOver, f.Share(goal.FlatRisk))
	}
	return s
}

// reserveClause is the part that a wanted reserve has in what is not carried.
func reserveClause(reserve float64, f Format) string {
	if reserve <= 0 {
		return ""
	}
	return f.Text(textNotReserve, f.With(100*reserve, decimalsOf(100*reserve), textPoints))
}

// LowestDay is the day with the trip's lowest state of charge.
func LowestDay(r *sim.Result) *sim.Day {
	var low *sim.Day
	for i := range r.Days {
		if low == nil || r.Days[i].LowSoC < low.LowSoC {
			low = &r.Days[i]
		}
	}
	return low
}

// firstFlat is the moment at which the first flat spell begins.
func firstFlat(r *sim.Result, f Format) string {
	if len(r.Flats) > 0 {
		s := &r.Flats[0]
		return f.DayClock(localTime(r, s.Start))
	}
	for i := range r.Days {
		if r.Days[i].Flat() {
			return f.Day(r.Days[i].Date)
		}
	}
	return ""
}

// unservedLoads lists the appliances that missed most energy.
func unservedLoads(r *sim.Result, f Format, most int) string {
	var short []*sim.LoadAccount
	for i := range r.Loads {
		if l := &r.Loads[i]; l.UnservedWh > negligibleWh {
			short = append(short, l)
		}
	}
	sort.SliceStable(short, func(a, b int) bool {
		return short[a].UnservedWh > short[b].UnservedWh
	})
	var names []string
	for i, l := range short {
		if i == most {
			names = append(names, f.Text(textAndMore, f.Number(float64(len(short)-most), 0)))
			break
		}
		names = append(names, f.Text(textUnservedOf, sentenceName(l.Name),
			f.Number(l.UnservedWh, 0), f.With(l.AskedWh, 0, "Wh")))
	}
	return strings.Join(names, ", ")
}

// Recommend picks the smallest system that carries the whole trip and meets
// the goal: least battery, then lowest price, then least charger, panel and
// inverter, then the order of the table. Where none feeds every appliance, the
// smallest that carries the trip in part is picked. best is -1 when none does;
// nearest is then the one that comes nearest, else the same.
func Recommend(results []*sim.Result, risks []*sim.Risk, goal Goal) (best, nearest int) {
	best, nearest = -1, -1
	grade := RunsFlat
	for i, r := range results {
		j := Judge(r, riskOf(risks, i), goal)
		if j <= InPart && (best < 0 || j < grade || j == grade && smaller(r.System, results[best].System)) {
			best, grade = i, j
		}
		if nearest < 0 || nearer(r, riskOf(risks, i), results[nearest], riskOf(risks, nearest), goal) {
			nearest = i
		}
	}
	if best >= 0 {
		nearest = best
	}
	return best, nearest
}

func riskOf(risks []*sim.Risk, i int) *sim.Risk {
	if i < len(risks) {
		return risks[i]
	}
	return nil
}

func smaller(a, b *sim.System) bool {
	for _, key := range []func(*sim.System) float64{batteryWh, price, chargerA, panelW, inverterW} {
		if x, y := key(a), key(b); x != y {
			return x < y
		}
	}
	return false
}

// nearer orders systems of which none carries the trip: less unserved in typical
// weather, then fewer simulated trips not carried, fewer flat, more reserve.
func nearer(a *sim.Result, ka *sim.Risk, b *sim.Result, kb *sim.Risk, goal Goal) bool {
	if x, y := math.Round(a.Total.UnservedWh), math.Round(b.Total.UnservedWh); x != y {
		return x < y
	}
	if x, y := missed(ka, goal.Reserve), missed(kb, goal.Reserve); x != y {
		return x < y
	}
	if x, y := missed(ka, 0), missed(kb, 0); x != y {
		return x < y
	}
	return a.Reserve() > b.Reserve()
}
