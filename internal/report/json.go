package report

import (
	"encoding/json"
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

type runJSON struct {
	Schema      string          `json:"schema"`
	Program     string          `json:"program"`
	Scenario    string          `json:"scenario"`
	Customer    string          `json:"customer,omitempty"`
	InputHash   string          `json:"input_hash"`
	Currency    string          `json:"currency,omitempty"`
	Assumptions assumptionsJSON `json:"assumptions"`
	Trip        []stopJSON      `json:"trip"`
	Recommended *string         `json:"recommended_system"`
	Systems     []systemJSON    `json:"systems"`
	Warnings    []string        `json:"warnings"`
}

type assumptionsJSON struct {
	StepMinutes     num           `json:"step_minutes"`
	Seed            uint64        `json:"seed"`
	Draws           int           `json:"draws"`
	Albedo          num           `json:"ground_reflectance"`
	Linke           num           `json:"linke_turbidity"` // null: by place and month
	UseSpread       num           `json:"use_spread_pct"`
	AcceptedRiskPct num           `json:"accepted_flat_risk_pct"`
	WantedReserve   num           `json:"wanted_reserve_pct"`
	TypicalWeather  string        `json:"typical_weather"`
	SimulatedTrips  string        `json:"simulated_trips,omitempty"`
	WeatherFile     string        `json:"weather_file,omitempty"`
	Climate         []climateJSON `json:"climate"`       // empty where a weather file takes its place
	Sources         []string      `json:"other_sources"` // of data beside the climate's
}

type climateJSON struct {
	Place     string `json:"place"`
	GHIKWhM2  num    `json:"ghi_kwh_m2_per_day"`
	TempMinC  num    `json:"air_min_c"`
	TempMaxC  num    `json:"air_max_c"`
	NearestKM num    `json:"nearest_data_km"`
	Elevation num    `json:"elevation_m"`
	Own       bool   `json:"own_figures"`
	Source    string `json:"source"`
}

type stopJSON struct {
	Date      string `json:"date"`
	Days      int    `json:"days"`
	Place     string `json:"place"`
	Latitude  num    `json:"latitude_deg"`
	Longitude num    `json:"longitude_deg"`
	Elevation num    `json:"elevation_m"`
	Zone      string `json:"time_zone"`
	DriveH    num    `json:"drive_h_per_day"`
	MainsH    num    `json:"mains_h_per_day"`
	GenH      num    `json:"generator_h_per_day"`
	ShadePct  num    `json:"shade_pct"`
	Note      string `json:"note,omitempty"`
}

type systemJSON struct {
	Name       string      `json:"name"`
	Verdict    string      `json:"verdict"`
	Sentence   string      `json:"sentence"`
	Makeup     makeupJSON  `json:"makeup"`
	Typical    typicalJSON `json:"typical"`
	Shown      *drawJSON   `json:"shown_trip,omitempty"` // in place of typical weather in tables and pictures
	Risk       *riskJSON   `json:"risk"`
	Note       string      `json:"note,omitempty"`
	LargestErr float64     `json:"largest_relative_energy_residual"`
}

type drawJSON struct {
	No   uint64      `json:"draw"`
	Trip typicalJSON `json:"trip"`
}

type makeupJSON struct {
	Chemistry string `json:"chemistry"`
	BatteryAh num    `json:"battery_ah"`
	NominalV  num    `json:"nominal_v"`
	MinSoCPct num    `json:"min_soc_pct"`
	DriveA    num    `json:"drive_a"`
	MainsA    num    `json:"mains_a"`
	PanelW    num    `json:"panel_w"`
	InverterW num    `json:"inverter_w"`
	Price     num    `json:"price"`
}

type typicalJSON struct {
	StartSoCPct      num             `json:"start_soc_pct"`
	LowSoCPct        num             `json:"low_soc_pct"`
	EndSoCPct        num             `json:"end_soc_pct"`
	ReservePct       num             `json:"reserve_pct"`
	CutOffPct        num             `json:"cut_off_pct"`
	ColdCutOffPct    num             `json:"cold_cut_off_pct"` // highest in the cold of the trip; null: not raised
	FlatH            num             `json:"flat_h"`
	FlatDays         int             `json:"flat_days"`
	WearPct          num             `json:"wear_pct_of_cycle_life"`
	EquivalentCycles num             `json:"equivalent_full_cycles"`
	LifeYears        num             `json:"cycle_life_years"`
	AutonomyDays     num             `json:"autonomy_days"` // null: unlimited
	Total            ledgerJSON      `json:"total"`
	Days             json.RawMessage `json:"days"`
	FlatSpells       []spellJSON     `json:"flat_spells"`
	Appliances       []applianceJSON `json:"appliances"`
	Events           []eventJSON     `json:"events"`
}

type ledgerJSON struct {
	SolarWh         num `json:"solar_wh"`
	AlternatorWh    num `json:"alternator_wh"`
	MainsWh         num `json:"mains_wh"`
	TransferWh      num `json:"transfer_wh"`
	SolarBusWh      num `json:"solar_bus_wh"`
	AlternatorBusWh num `json:"alternator_bus_wh"`
	MainsBusWh      num `json:"mains_bus_wh"`
	DCLoadWh        num `json:"dc_load_wh"`
	ACLoadWh        num `json:"ac_load_wh"`
	HeaterWh        num `json:"heater_wh"`
	ChargerLossWh   num `json:"charger_loss_wh"`
	InverterLossWh  num `json:"inverter_loss_wh"`
	BatteryLossWh   num `json:"battery_loss_wh"`
	SelfDischargeWh num `json:"self_discharge_wh"`
	StoreChangeWh   num `json:"store_change_wh"`
	SpilledWh       num `json:"spilled_wh"`
	UnservedWh      num `json:"unserved_wh"`
	ShedWh          num `json:"shed_wh"`
	NoOutletWh      num `json:"no_outlet_wh"`
}

type spellJSON struct {
	Start      string      `json:"start"`
	End        string      `json:"end"`
	Hours      num         `json:"hours"`
	UnservedWh num         `json:"unserved_wh"`
	Cause      string      `json:"cause"`
	Drew       []shareJSON `json:"drew_in_24h_before"`
	Missing    []string    `json:"sources_in_24h_before"`
}

type shareJSON struct {
	Name string `json:"name"`
	Wh   num    `json:"wh"`
}

type applianceJSON struct {
	Name       string `json:"name"`
	Supply     string `json:"supply"`
	AskedWh    num    `json:"asked_wh"`
	DailyWh    num    `json:"asked_wh_per_day"`
	UnservedWh num    `json:"unserved_wh"`
	ShedWh     num    `json:"shed_wh"`
	NoOutletWh num    `json:"no_outlet_wh"`
	PeakW      num    `json:"peak_w"`
	DutyPct    num    `json:"duty_pct"`  // fridges, else null
	WarmestC   num    `json:"warmest_c"` // fridges, else null
	TooWarm    bool   `json:"could_not_hold"`
}

type eventJSON struct {
	Kind   string   `json:"kind"`
	Start  string   `json:"start"`
	Times  []string `json:"times"`
	Hours  num      `json:"hours"`
	Load   string   `json:"appliance,omitempty"`
	Detail string   `json:"detail"`
}

type riskJSON struct {
	Draws        int              `json:"draws"`
	FlatDraws    int              `json:"flat_draws"`
	FlatPct      num              `json:"flat_risk_pct"`
	FlatLowPct   num              `json:"flat_risk_low_pct"`
	FlatHighPct  num              `json:"flat_risk_high_pct"`
	ShortPct     num              `json:"short_risk_pct"` // trips that lack anything, flat or not
	FlatDays     num              `json:"mean_flat_days"`
	WorstDraw    uint64           `json:"worst_draw"`
	ReservePct   distributionJSON `json:"reserve_pct"`
	UnservedWh   distributionJSON `json:"unserved_wh"`
	SpilledWh    distributionJSON `json:"spilled_wh"`
	FlatH        distributionJSON `json:"flat_h"`
	WearPct      num              `json:"mean_wear_pct_of_cycle_life"`
	SolarWh      num              `json:"mean_solar_bus_wh"`
	AlternatorWh num              `json:"mean_alternator_bus_wh"`
	MainsWh      num              `json:"mean_mains_bus_wh"`
	TransferWh   num              `json:"mean_transfer_wh"`
	Bands        []bandJSON       `json:"soc_bands"`
}

type distributionJSON struct {
	Mean num `json:"mean"`
	Min  num `json:"min"`
	Q05  num `json:"q05"`
	Q25  num `json:"q25"`
	Q50  num `json:"q50"`
	Q75  num `json:"q75"`
	Q95  num `json:"q95"`
	Max  num `json:"max"`
}

type bandJSON struct {
	At  string `json:"at"`
	Q05 num    `json:"q05_pct"`
	Q25 num    `json:"q25_pct"`
	Q50 num    `json:"q50_pct"`
	Q75 num    `json:"q75_pct"`
	Q95 num    `json:"q95_pct"`
}

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
		StepMinutes: num(o.Step.Minutes()), Seed: o.Seed, Draws: run.Draws, Albedo: num(o.Albedo),
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
		sentence += " " + run.riskText(i, DefaultFormat())
	}
	return systemJSON{
		Name: s.Name, Verdict: Judge(r, k, run.Goal).key(), Note: s.Note, LargestErr: r.Residual,
		Sentence: plainSpaces.Replace(sentence),
		Makeup: makeupJSON{
			s.Battery.Chemistry.ID, num(batteryAh(s)), num(s.Battery.NominalV), pct(r.MinSoC),
			num(driveA(s)), num(mainsA(s)), num(panelW(s)), num(inverterW(s)), num(s.Price),
		},
		Typical: typicalOf(r, k), Risk: riskOfJSON(r, k),
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

func riskOfJSON(r *sim.Result, k *sim.Risk) *riskJSON {
	if k == nil || k.Draws == 0 {
		return nil
	}
	out := &riskJSON{
		Draws: k.Draws, FlatDraws: k.FlatDraws, FlatPct: pct(k.Flat.Share), FlatLowPct: pct(k.Flat.Low),
		FlatHighPct: pct(k.Flat.High), ShortPct: pct(k.Short.Share), FlatDays: num(k.FlatDays), WorstDraw: k.WorstDraw,
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
