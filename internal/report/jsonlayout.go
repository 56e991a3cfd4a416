package report

import "encoding/json"

// The layout of result.json, part by part.

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
	Sky             string        `json:"sky_model"`
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
	Draws       int `json:"draws"`
	FlatDraws   int `json:"flat_draws"`
	FlatPct     num `json:"flat_risk_pct"`
	FlatLowPct  num `json:"flat_risk_low_pct"`
	FlatHighPct num `json:"flat_risk_high_pct"`
	ShortPct    num `json:"short_risk_pct"` // trips that lack anything, flat or not
	// NotCarriedPct is the share of trips that are not carried; see sim.Goal.
	NotCarriedPct num              `json:"not_carried_pct"`
	FlatDays      num              `json:"mean_flat_days"`
	WorstDraw     uint64           `json:"worst_draw"`
	ReservePct    distributionJSON `json:"reserve_pct"`
	UnservedWh    distributionJSON `json:"unserved_wh"`
	SpilledWh     distributionJSON `json:"spilled_wh"`
	FlatH         distributionJSON `json:"flat_h"`
	WearPct       num              `json:"mean_wear_pct_of_cycle_life"`
	SolarWh       num              `json:"mean_solar_bus_wh"`
	AlternatorWh  num              `json:"mean_alternator_bus_wh"`
	MainsWh       num              `json:"mean_mains_bus_wh"`
	TransferWh    num              `json:"mean_transfer_wh"`
	Bands         []bandJSON       `json:"soc_bands"`
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
