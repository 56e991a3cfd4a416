package sim

import (
	"math"
	"time"
)

// Ledger is the energy account of a span of time, Wh. It closes:
//
//	SolarWh + AlternatorWh + MainsWh + TransferWh
//	  = DCLoadWh + ACLoadWh + HeaterWh
//	  + ChargerLossWh + InverterLossWh + BatteryLossWh + SelfDischargeWh
//	  + StoreChangeWh
//
// to 1e-9 of the energy moved, in every step (see Residual).
type Ledger struct {
	SolarWh         float64 // from panels into regulators
	AlternatorWh    float64 // from the alternator into chargers
	MainsWh         float64 // from the site into chargers
	TransferWh      float64 // from the site straight to AC appliances
	DCLoadWh        float64 // served to DC appliances
	ACLoadWh        float64 // served to AC appliances
	HeaterWh        float64 // battery heater
	ChargerLossWh   float64
	InverterLossWh  float64 // idle included
	BatteryLossWh   float64 // resistance, coulombic loss, diffusion; a step may give surface charge back
	SelfDischargeWh float64
	StoreChangeWh   float64 // rise of the energy in the battery
	// Outside the balance:
	ChargedWh       float64 // at the battery's terminals, in
	DischargedWh    float64 // at the battery's terminals, out
	SolarBusWh      float64 // solar after its regulator
	AlternatorBusWh float64 // alternator after its charger
	MainsBusWh      float64 // mains after its charger
	SpilledWh       float64 // panel power that nothing could take
	UnservedWh      float64 // asked for by appliances while disconnected, tripped or overloaded
	ShedWh          float64 // switched off on purpose at a low state of charge
	NoOutletWh      float64 // AC asked for with no inverter on and no site
}

// InWh is everything that came into the system.
func (l *Ledger) InWh() float64 {
	return l.SolarWh + l.AlternatorWh + l.MainsWh + l.TransferWh
}

// ServedWh is what the appliances got.
func (l *Ledger) ServedWh() float64 { return l.DCLoadWh + l.ACLoadWh }

// LossWh is everything lost on the way.
func (l *Ledger) LossWh() float64 {
	return l.ChargerLossWh + l.InverterLossWh + l.BatteryLossWh + l.SelfDischargeWh
}

// Residual is the imbalance, Wh: zero but for rounding.
func (l *Ledger) Residual() float64 {
	return l.InWh() - l.ServedWh() - l.HeaterWh - l.LossWh() - l.StoreChangeWh
}

// Add adds o to l.
func (l *Ledger) Add(o *Ledger) {
	l.SolarWh += o.SolarWh
	l.AlternatorWh += o.AlternatorWh
	l.MainsWh += o.MainsWh
	l.TransferWh += o.TransferWh
	l.DCLoadWh += o.DCLoadWh
	l.ACLoadWh += o.ACLoadWh
	l.HeaterWh += o.HeaterWh
	l.ChargerLossWh += o.ChargerLossWh
	l.InverterLossWh += o.InverterLossWh
	l.BatteryLossWh += o.BatteryLossWh
	l.SelfDischargeWh += o.SelfDischargeWh
	l.StoreChangeWh += o.StoreChangeWh
	l.ChargedWh += o.ChargedWh
	l.DischargedWh += o.DischargedWh
	l.SolarBusWh += o.SolarBusWh
	l.AlternatorBusWh += o.AlternatorBusWh
	l.MainsBusWh += o.MainsBusWh
	l.SpilledWh += o.SpilledWh
	l.UnservedWh += o.UnservedWh
	l.ShedWh += o.ShedWh
	l.NoOutletWh += o.NoOutletWh
}

// Row is one step of the trip.
type Row struct {
	Ledger
	SoC      float64 // at the end of the step, 0..1
	VoltageV float64 // mean battery terminal voltage in the step
	BatteryA float64 // mean battery current, charging positive
	PeakA    float64 // highest battery discharge current (appliance peaks), A
	InputA   float64 // highest alternator-side input current of the chargers, A
	FlatH    float64 // hours disconnected at the cut-off in the step
	OffH     float64 // hours with the loads off: flat, or cut off by the battery's current limit
	TripH    float64 // hours the inverter was off: tripped on low voltage or on the battery's current limit
	Refused  bool    // the battery refused charge (temperature) while a source was there
	Shed     bool    // non-essential loads were off
	BatteryC float64 // battery temperature
	FloorSoC float64 // cut-off at this temperature, 0..1
}

// CutH is how long the battery's protection kept the loads off in the step
// because they asked for more current than it allows, h.
func (r *Row) CutH() float64 {
	if h := r.OffH - r.FlatH; h > 1e-9 {
		return h
	}
	return 0
}

// Slot is what the itinerary says about a step.
type Slot struct {
	Start   time.Time // UTC
	LocalH  float64   // local clock hour at the start, 0..24
	Day     int       // index of the local day
	Stop    int       // index into Trip.Stops
	DriveH  float64   // hours of driving inside the step
	IdleH   float64   // hours of the engine idling at the stop inside the step
	MainsH  float64   // hours of mains inside the step
	GenH    float64   // hours of generator inside the step
	ShadeIn float64   // share of sun lost to the stop's shade (0 while driving)
	Up      float64   // share of the step with the sun up
}

// Day is the account of one local day.
type Day struct {
	Ledger
	Date                time.Time // UTC midnight of the civil date
	Stop                int       // index into Trip.Stops
	Place               string
	FirstRow, EndRow    int // rows [FirstRow, EndRow)
	Hours               float64
	DriveH, MainsH      float64
	IdleH               float64
	LowSoC, EndSoC      float64
	LowAt               time.Time // UTC, end of the step with the lowest state of charge
	FlatH               float64
	TripH               float64
	TempMinC, TempMaxC  float64
	SunKWhM2, Clearness float64
	Refused             bool
}

// Flat reports whether the battery was disconnected at any time of the day.
func (d *Day) Flat() bool { return d.FlatH > 0 }

// FlatSpell is one unbroken time of disconnection.
type FlatSpell struct {
	Start, End time.Time // UTC
	UnservedWh float64
	Cause      string   // one sentence: what drew, what did not charge
	Drew       []Share  // appliances of the 24 h before, largest first, Wh; none from the first step on
	Missing    []string // sources that gave little or nothing in those 24 h; none from the first step on
}

// Share is a named amount, Wh.
type Share struct {
	Name string
	Wh   float64
}

// LoadAccount is one appliance over the trip.
type LoadAccount struct {
	Name                string
	Supply              Supply
	AskedWh, UnservedWh float64
	DailyWh             float64 // AskedWh per day of the trip
	PeakW               float64
	// Of fridges, else NaN: as if they got all they ask for. What a box that is
	// cut off warms by, and takes up afterwards, is not followed (see NotFedWh).
	DutyMean, WarmestC float64
	CouldNotHold       bool    // a fridge that could not keep its set point, even when fed; false says nothing of the times when it is not
	HardlyRuns         bool    // a fridge in outside air so cold that it has little to do
	ShedWh             float64 // switched off on purpose at a low state of charge
	NoOutletWh         float64 // AC asked for with no inverter on and no site
}

// TooColdH is for how long a source was there and the battery too cold to take its
// charge, h.
func (r *Result) TooColdH() (hours float64) {
	for i := range r.Rows {
		if row := &r.Rows[i]; row.Refused && row.BatteryC < r.System.Battery.Chemistry.ChargeMinC+1 {
			hours += r.Step.Hours()
		}
	}
	return hours
}

// NotFedWh is what the appliance asked for away from mains and did not get, for
// whatever reason.
func (l *LoadAccount) NotFedWh() float64 { return l.UnservedWh + l.ShedWh + l.NoOutletWh }

// Event is something the adviser must know of: overload, surge beyond the
// inverter, low-voltage trip, current beyond the battery's limit, charge
// refused in the cold. What happens again and again to the same appliance is
// one event with all its times.
type Event struct {
	Kind   EventKind
	Start  time.Time   // UTC, the first time
	Times  []time.Time // UTC, the start of every separate time, in order
	Hours  float64     // in all
	Load   string      // appliance, if one is to blame
	Detail string      // one sentence with the figures of the worst time
}

// EventKind sorts events.
type EventKind string

// The kinds of event.
const (
	Overload      EventKind = "overload"
	Surge         EventKind = "surge"
	LowVoltage    EventKind = "low voltage"
	OverCurrent   EventKind = "over current"
	ChargeRefused EventKind = "charge refused"
	SiteLimit     EventKind = "site limit"
	FridgeWarm    EventKind = "fridge warm"
	FridgeIdle    EventKind = "fridge idle"
	NoOutlet      EventKind = "no outlet"
)

// Result is one system on one weather, in full.
type Result struct {
	Trip       *Trip
	System     *System
	Step       time.Duration
	Weather    string // one sentence: what weather this is
	Slots      []Slot
	Rows       []Row
	Traces     Traces
	Days       []Day
	Total      Ledger
	Flats      []FlatSpell
	Loads      []LoadAccount
	Events     []Event
	StartSoC   float64
	LowSoC     float64 // lowest state of charge of the trip
	LowReserve float64 // lowest state of charge above the cut-off
	EndSoC     float64
	MinSoC     float64 // the cut-off
	FlatH      float64
	FlatDays   int
	// WearShare is the share of the battery's cycle life used by the trip,
	// EquivalentCycles the number of equivalent full cycles.
	WearShare, EquivalentCycles float64
	// LifeYears is how many years of such use the battery's cycles last, at
	// most MostLifeYears; NaN when the trip used none. Age ends a battery too.
	LifeYears float64
	// AutonomyDays is how long the battery alone, from full, carries the
	// trip's mean daily demand.
	AutonomyDays float64
	// Residual is the largest imbalance of a step relative to the energy it
	// moved; a run with more than 1e-9 is a programming error and panics.
	Residual float64
	Climate  []StopClimate
}

// Reserve is the lowest state of charge above the cut-off, 0..1; the cut-off
// rises in the cold. Zero when the battery ran flat.
func (r *Result) Reserve() float64 {
	if r.FlatH > 0 {
		return 0
	}
	return math.Max(0, r.LowReserve)
}

// MostLifeYears is the longest life by cycles that is told, years: age has
// ended any battery by then.
const MostLifeYears = 50.0

// lifeYears is a life by cycles, years, of which a trip of some days uses a
// share.
func lifeYears(days int, share float64) float64 {
	if !(share > 0) {
		return math.NaN()
	}
	return math.Min(MostLifeYears, float64(days)/share/365.25)
}

// Traces are the drives of a run by step, for plots and tables. They are read
// only: results share what is the same in all of them.
type Traces struct {
	AirC    []float64
	GHIWm2  []float64
	PanelW  []float64   // all panels at their power point
	LoadW   [][]float64 // per load, mean W asked for in the step
	DemandW []float64   // all loads, mean W asked for
}

// StopClimate says where a stop's climate figures come from.
type StopClimate struct {
	Place      string
	GHIKWhM2   float64 // mean daily for the date
	TempMinC   float64
	TempMaxC   float64
	NearestKM  float64
	ElevationM float64
	Override   bool // the trip's own figures were used
	Source     string
}
