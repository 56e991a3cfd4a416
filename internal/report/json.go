package report

import (
	"math"
	"time"

	"tripsim/internal/sim"
)

// Schema names the layout of result.json. The number rises when a key changes
// its meaning or goes; new keys may come without it.
const Schema = "tripsim-result/1"

// num is a number in JSON: as in the tables, null where there is none.
type num float64

// MarshalJSON writes the number.
func (n num) MarshalJSON() ([]byte, error) {
	c := Number(float64(n))
	return c.json(), nil
}

// pct is a share 0..1 written as a percentage.
func pct(share float64) num { return num(100 * share) }

// JSON writes the whole run: layout Schema, units in the names of keys, moments
// on the local clock with their offset, null where there is no figure. The same
// run gives the same bytes.
func (run *Run) JSON() ([]byte, error) {
	doc := runJSON{
		Schema: Schema, Program: run.Program, Scenario: run.Scenario, Customer: run.Customer,
		InputHash: run.Hash, Currency: run.Currency, Assumptions: run.assumptionsJSON(),
		Trip: []stopJSON{}, Systems: []systemJSON{}, Warnings: append([]string{}, run.Warnings...),
	}
	if best, _ := Recommend(run.Results, run.Risks, run.Goal); best >= 0 {
		doc.Recommended = &run.Results[best].System.Name
	}
	if len(run.Results) > 0 {
		doc.Trip = stopsJSON(run.Results[0].Trip)
	}
	for i := range run.Results {
		s := run.systemJSON(i)
		if d := drawAt(run.Instead, i); d.Result != nil {
			s.Shown = &drawJSON{d.No, typicalOf(d.Result, riskOf(run.Risks, i))}
		}
		doc.Systems = append(doc.Systems, s)
	}
	return document(doc)
}

func (run *Run) assumptionsJSON() assumptionsJSON {
	o := run.Options
	a := assumptionsJSON{
		StepMinutes: num(o.Step.Minutes()), Seed: o.Seed, Draws: run.Draws, Sky: o.Sky.String(), Albedo: num(o.Albedo),
		Linke: num(o.Linke), UseSpread: pct(o.UseSpread), AcceptedRiskPct: pct(run.Goal.FlatRisk), WantedReserve: pct(run.Goal.Reserve), Climate: []climateJSON{},
		Sources: append([]string{}, run.Sources...),
	}
	if o.Linke == 0 {
		a.Linke = num(math.NaN())
	}
	if len(run.Results) > 0 {
		r := run.Results[0]
		a.TypicalWeather = r.Weather
		for i := range r.Climate {
			if run.Recorded.replaces() {
				break
			}
			c := &r.Climate[i]
			a.Climate = append(a.Climate, climateJSON{
				c.Place, num(c.GHIKWhM2), num(c.TempMinC), num(c.TempMaxC),
				num(c.NearestKM), num(c.ElevationM), c.Override, c.Source,
			})
		}
	}
	if run.Recorded != nil {
		a.WeatherFile = run.Recorded.Name
	}
	if k := riskOf(run.Risks, 0); k != nil {
		a.SimulatedTrips = k.Weather
	}
	return a
}

func stopsJSON(t *sim.Trip) []stopJSON {
	stops := []stopJSON{}
	if t == nil {
		return stops
	}
	for i := range t.Stops {
		s := &t.Stops[i]
		zone := ""
		if s.Zone != nil {
			zone = s.Zone.String()
		}
		stops = append(stops, stopJSON{
			isoDate(s.Date), s.Days, s.Place, num(s.Position.LatDeg), num(s.Position.LonDeg),
			num(s.Position.ElevationM), zone, num(s.Drive.Hours), num(s.Mains.Hours), num(s.Generator.Hours), pct(s.Shade), s.Note,
		})
	}
	return stops
}

func (run *Run) systemJSON(i int) systemJSON {
	r, k := run.Results[i], run.Risk(i)
	s := r.System
	sentence := verdict(r, k, run.Goal, DefaultFormat())
	if k != nil && k.Draws > 0 {
		sentence += " " + run.riskText(i, true, DefaultFormat())
	}
	return systemJSON{
		Name: s.Name, Verdict: Judge(r, k, run.Goal).key(), Note: s.Note, LargestErr: r.Residual,
		Sentence: plainSpaces.Replace(sentence),
		Makeup: makeupJSON{
			s.Battery.Chemistry.ID, num(batteryAh(s)), num(s.Battery.NominalV), pct(r.MinSoC),
			num(driveA(s)), num(mainsA(s)), num(panelW(s)), num(inverterW(s)), num(s.Price),
		},
		Typical: typicalOf(r, k), Risk: riskOfJSON(r, k, run.Goal.Reserve),
	}
}

// key is the judgement as a word for programs.
func (j Judgement) key() string {
	return [...]string{"carries", "in_part", "thin_reserve", "risky", "falls_short", "flat"}[j]
}

func typicalOf(r *sim.Result, k *sim.Risk) typicalJSON {
	_, cold := coldCutOff(r)
	t := typicalJSON{
		CutOffPct: pct(r.MinSoC), ColdCutOffPct: pct(cold), LifeYears: num(r.LifeYears), StartSoCPct: pct(r.StartSoC), LowSoCPct: pct(r.LowSoC), EndSoCPct: pct(r.EndSoC),
		ReservePct: pct(r.Reserve()), FlatH: num(r.FlatH), FlatDays: r.FlatDays, WearPct: pct(r.WearShare),
		EquivalentCycles: num(r.EquivalentCycles), AutonomyDays: num(r.AutonomyDays), Total: ledgerOf(&r.Total),
		Days:       Days(r, k, DefaultFormat()).JSON(),
		FlatSpells: []spellJSON{}, Appliances: []applianceJSON{}, Events: []eventJSON{},
	}
	for i := range r.Flats {
		s := &r.Flats[i]
		spell := spellJSON{
			Start: isoLocal(localTime(r, s.Start)), End: isoLocal(localTime(r, s.End)),
			Hours: num(s.End.Sub(s.Start).Hours()), UnservedWh: num(s.UnservedWh), Cause: s.Cause,
			Drew: []shareJSON{}, Missing: append([]string{}, s.Missing...),
		}
		for _, d := range s.Drew {
			spell.Drew = append(spell.Drew, shareJSON{d.Name, num(d.Wh)})
		}
		t.FlatSpells = append(t.FlatSpells, spell)
	}
	for i := range r.Loads {
		l := &r.Loads[i]
		t.Appliances = append(t.Appliances, applianceJSON{
			l.Name, l.Supply.String(), num(l.AskedWh), num(l.DailyWh), num(l.UnservedWh),
			num(l.ShedWh), num(l.NoOutletWh), num(l.PeakW), pct(l.DutyMean), num(l.WarmestC), l.CouldNotHold,
		})
	}
	for i := range r.Events {
		e := &r.Events[i]
		start := isoLocal(localTime(r, e.Start))
		event := eventJSON{Kind: string(e.Kind), Start: start, Hours: num(e.Hours), Load: e.Load, Detail: e.Detail}
		for _, at := range e.Times {
			event.Times = append(event.Times, isoLocal(localTime(r, at)))
		}
		if len(event.Times) == 0 {
			event.Times = []string{start}
		}
		t.Events = append(t.Events, event)
	}
	return t
}

func ledgerOf(l *sim.Ledger) ledgerJSON {
	return ledgerJSON{
		num(l.SolarWh), num(l.AlternatorWh), num(l.MainsWh), num(l.TransferWh),
		num(l.SolarBusWh), num(l.AlternatorBusWh), num(l.MainsBusWh), num(l.DCLoadWh), num(l.ACLoadWh), num(l.HeaterWh),
		num(l.ChargerLossWh), num(l.InverterLossWh), num(l.BatteryLossWh), num(l.SelfDischargeWh), num(l.StoreChangeWh),
		num(l.SpilledWh), num(l.UnservedWh), num(l.ShedWh), num(l.NoOutletWh),
	}
}

func riskOfJSON(r *sim.Result, k *sim.Risk, reserve float64) *riskJSON {
	if k == nil || k.Draws == 0 {
		return nil
	}
	out := &riskJSON{
		Draws: k.Draws, FlatDraws: k.FlatDraws, FlatPct: pct(k.Flat.Share), FlatLowPct: pct(k.Flat.Low),
		FlatHighPct: pct(k.Flat.High), ShortPct: pct(k.Short.Share), NotCarriedPct: pct(k.NotCarried(reserve).Share), FlatDays: num(k.FlatDays), WorstDraw: k.WorstDraw,
		ReservePct: distributionOf(k.Reserve, 100), UnservedWh: distributionOf(k.Unserved, 1),
		SpilledWh: distributionOf(k.Spilled, 1), FlatH: distributionOf(k.FlatHours, 1), WearPct: pct(k.Wear),
		SolarWh: num(k.SourceWh[0]), AlternatorWh: num(k.SourceWh[1]), MainsWh: num(k.SourceWh[2]),
		TransferWh: num(k.SourceWh[3]), Bands: []bandJSON{},
	}
	for i := range k.Bands {
		b := &k.Bands[i]
		at := b.At
		if len(r.Slots) > 0 {
			at = localTime(r, at.Add(-time.Nanosecond)).Add(time.Nanosecond) // the end of an hour belongs to it
		}
		out.Bands = append(out.Bands, bandJSON{isoLocal(at), pct(b.Q05), pct(b.Q25), pct(b.Q50), pct(b.Q75), pct(b.Q95)})
	}
	return out
}

func distributionOf(d sim.Distribution, scale float64) distributionJSON {
	n := func(x float64) num { return num(scale * x) }
	return distributionJSON{n(d.Mean), n(d.Min), n(d.Q05), n(d.Q25), n(d.Q50), n(d.Q75), n(d.Q95), n(d.Max)}
}
