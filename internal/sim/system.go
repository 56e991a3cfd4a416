package sim

import "tripsim/internal/profiles"

// System is one candidate: battery, inverter, chargers and panels.
type System struct {
	Row          int // line in the input table
	Name         string
	Battery      profiles.BatterySpec
	StartSoC     float64           // 0..1
	Inverter     profiles.Inverter // RatedW 0 = none
	InverterMode InverterMode
	InverterSpan Span // InverterMode == InverterWindow
	ACTransfer   bool // at a powered site AC outlets are fed by the site itself
	// AlternatorSpareA is what the vehicle's alternator can give beyond the
	// vehicle's own needs, A at AlternatorV; NaN = enough for every charger.
	AlternatorSpareA float64
	VehicleV         float64 // nominal voltage of the vehicle's own circuit: 12 or 24; 0 = 12
	ShedSoC          float64 // below it non-essential loads are switched off; 0 = never
	StandbyW         float64 // remote switching, monitor and the like, always on
	// Docked says when a portable pack is connected to its chargers; a fixed
	// battery is always docked (DockedDays AllDays, Docked.Hours 24).
	DockedDays DayMask
	Docked     Span
	Price      float64 // in the job's currency; NaN = not given
	Note       string
	Chargers   []Charger
	Panels     []Panel
}

// vehicleV is VehicleV with its default.
func (s *System) vehicleV() float64 {
	if s.VehicleV == 0 {
		return 12
	}
	return s.VehicleV
}

// AlternatorV is the voltage at the chargers' inputs while the engine runs, V.
func (s *System) AlternatorV() float64 { return profiles.AlternatorV(s.vehicleV()) }

// InverterMode says when the inverter is switched on.
type InverterMode int

// InverterNeeded switches it on only while an AC load runs.
const (
	InverterAlways InverterMode = iota
	InverterNeeded
	InverterWindow
)

// Charger is one unit. A unit with several inputs shares TotalA between them,
// solar first, then the alternator, then mains. Units work in parallel.
type Charger struct {
	Row         int
	Name        string
	AlternatorA float64 // output limit from the alternator, A at the battery; 0 = no such input
	SolarA      float64 // output limit from panels
	MainsA      float64 // output limit from mains
	TotalA      float64 // shared output limit; NaN or 0 = sum of the inputs
	Efficiency  float64 // (0,1]
	Priority    int     // lower number is used first when not all can be used
}

// Mount says how a panel is placed.
type Mount int

// A Roof panel moves with the vehicle; a Portable one is set out while parked.
const (
	Roof Mount = iota
	Portable
)

// Panel is one solar panel or array of equal panels.
type Panel struct {
	Row            int
	Name           string
	RatedW         float64 // at standard test conditions
	Mount          Mount
	TiltDeg        float64
	AzimuthDeg     float64 // from north, clockwise; NaN = roof: heading unknown, averaged; portable: turned to the sun
	TurnsPerDay    int     // portable with AzimuthDeg NaN
	Charger        int     // index into System.Chargers
	Shade          float64 // 0..1
	Soiling        float64 // 0..1
	TempCoeffPerK  float64 // e.g. -0.0035
	NOCTC          float64
	DeployedAlways bool // else a portable panel works only while parked
}

// onTheRoad tells whether the panel is out while driving.
func (p *Panel) onTheRoad() bool { return p.Mount == Roof || p.DeployedAlways }
