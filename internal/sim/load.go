package sim

import "tripsim/internal/profiles"

// LoadKind says how an appliance draws its power through the day.
type LoadKind int

// The kinds of load.
const (
	Steady LoadKind = iota // all day, Watts in the share Duty of it; StandbyW else
	Window                 // from Start for Hours, Watts in the share Duty of that; StandbyW else
	Uses                   // Watts for Minutes at each of Times; StandbyW else
	Fridge                 // thermal model
)

func (k LoadKind) String() string {
	return [...]string{"steady", "window", "uses", "fridge"}[k]
}

// Supply is the outlet an appliance is plugged into.
type Supply int

// DC is the battery's own voltage; AC comes from the inverter or, at a powered
// site, through the transfer switch.
const (
	DC Supply = iota
	AC
)

func (s Supply) String() string { return [...]string{"dc", "ac"}[s] }

// DayMask says on which days an appliance is used.
type DayMask int

// A day is "driving" when it has driving hours, "parked" when it has none,
// "mains" when it has mains hours and "off_grid" when it has none.
const (
	AllDays DayMask = iota
	DrivingDays
	ParkedDays
	OffGridDays
	MainsDays
)

func (m DayMask) String() string {
	return [...]string{"all", "driving", "parked", "off_grid", "mains"}[m]
}

// Load is one appliance.
type Load struct {
	Row         int // line in the input table
	Name        string
	Kind        LoadKind
	Supply      Supply
	Watts       float64 // while on
	StandbyW    float64 // while not on
	SurgeW      float64 // start peak, < 1 s; 0 = Watts
	PowerFactor float64 // (0,1]; AC only, for the inverter's volt-amperes
	Duty        float64 // 0..1, share of the on-time actually drawn
	Window      Span
	TimesH      []float64 // starts of uses, local clock hours
	Minutes     float64   // length of each use
	Days        DayMask
	Essential   bool
	Medical     bool             // documents print the caution on independent backup
	Fridge      *profiles.Fridge // Kind == Fridge
}
