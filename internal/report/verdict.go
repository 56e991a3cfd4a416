package report

import (
	"math"
	"slices"
	"sort"
	"strings"

	"tripsim/internal/sim"
)

// Judgement is the answer to the customer's question for one system.
type Judgement int

// The judgements, best first.
const (
	Carries    Judgement = iota // every hour of the trip has power
	InPart                      // as Carries, but AC appliances have no outlet
	Thin                        // as Carries, but less reserve than wanted
	Risky                       // holds in typical weather, but flat risk above the accepted one
	FallsShort                  // not flat, but something did not get its power
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
	// thinReserve is a reserve above the cut-off that deserves a word of
	// caution, 0..1. Common practice, no source.
	thinReserve = 0.05
)

// Goal is what the adviser asks of a system.
type Goal struct {
	FlatRisk float64 // accepted share of trips with a flat battery, 0..1
	Reserve  float64 // wanted state of charge above the cut-off in typical weather, 0..1
}

// Judge weighs one system: its typical run and, if there is one, its risk.
func Judge(r *sim.Result, risk *sim.Risk, goal Goal) Judgement {
	switch {
	case r.FlatDays > 0 || r.FlatH > 0:
		return RunsFlat
	case r.Total.UnservedWh > negligibleWh:
		return FallsShort
	case risk != nil && risk.Draws > 0 && risk.Flat.Share > goal.FlatRisk:
		return Risky
	case r.Reserve() < goal.Reserve:
		return Thin
	case len(withoutOutlet(r, noInverter, smallInverter, inverterOff)) > 0:
		return InPart
	}
	return Carries
}

// outletLack is why an AC appliance is not fed away from powered sites.
type outletLack int

const (
	noLack outletLack = iota
	noInverter
	smallInverter // asks for more than the inverter's rating
	inverterOff   // the inverter is off at the time
)

func lackOf(r *sim.Result, l *sim.LoadAccount) outletLack {
	switch rated := r.System.Inverter.RatedW; {
	case l.NoOutletWh <= negligibleWh:
		return noLack
	case rated <= 0:
		return noInverter
	case l.PeakW > rated || r.System.InverterMode != sim.InverterWindow:
		return smallInverter
	default:
		return inverterOff
	}
}

// withoutOutlet lists the appliances that a system cannot feed, for any of some
// reasons: AC appliances at times with no inverter on, or too small a one, and no
// powered site. They are no part of the system's load, but the customer has to
// know.
func withoutOutlet(r *sim.Result, why ...outletLack) []string {
	var names []string
	for i := range r.Loads {
		if l := &r.Loads[i]; slices.Contains(why, lackOf(r, l)) {
			names = append(names, sentenceName(l.Name))
		}
	}
	return names
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
		s += " " + riskText(risk, goal, f)
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
		s = f.Text(textLacks, name, f.With(r.Total.UnservedWh, 0, "Wh"), unservedLoads(r, f, 3), low, date, place)
	case j == Risky:
		s = f.Text(textTypically, name, low, date, place)
	case r.Reserve() < thinReserve:
		s = f.Text(textBarely, name, low, date, place, f.With(100*r.Reserve(), 0, textPoints), CutOff(r, f))
	default:
		s = f.Text(textCarries, name, low, date, place)
		if j == Thin {
			s += " " + f.Text(textThin, reserve, CutOff(r, f), wanted)
		}
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
	}{{textNoOutlet, withoutOutlet(r, noInverter)}, {textTooSmall, withoutOutlet(r, smallInverter)}, {textOffThen, withoutOutlet(r, inverterOff)}} {
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

// riskText says how often the system runs flat over the simulated trips.
func riskText(k *sim.Risk, goal Goal, f Format) string {
	s := f.Text(textRisk, f.Number(float64(k.FlatDraws), 0), f.Number(float64(k.Draws), 0),
		f.Share(k.Flat.Share), f.Share(k.Flat.Low), f.Share(k.Flat.High))
	if k.Flat.Share > goal.FlatRisk {
		s += " " + f.Text(textOver, f.Share(goal.FlatRisk))
	}
	return s
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
		if nearest < 0 || nearer(r, riskOf(risks, i), results[nearest], riskOf(risks, nearest)) {
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

// nearer orders systems that all fail: less energy missed in typical weather,
// then less risk.
func nearer(a *sim.Result, ka *sim.Risk, b *sim.Result, kb *sim.Risk) bool {
	if x, y := math.Round(a.Total.UnservedWh), math.Round(b.Total.UnservedWh); x != y {
		return x < y
	}
	if ka != nil && kb != nil && ka.Flat.Share != kb.Flat.Share {
		return ka.Flat.Share < kb.Flat.Share
	}
	return a.Reserve() > b.Reserve()
}
