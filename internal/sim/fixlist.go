package sim

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"tripsim/internal/profiles"
)

// What is tried. Common practice, no source.
const (
	moreDrivingH   = 1.0
	mostDrivingH   = 10.0 // a day's driving is not stretched beyond it
	drivingStartH  = 10.0 // of a day that had none
	nightFromH     = 18.0 // a powered night: 18:00 to 08:00
	nightHours     = 14.0
	leastMainsA    = 15.0
	portableW      = 100.0
	warmerK        = 2.0
	inverterFromH  = 7.0 // off overnight: on from 07:00 to 22:00
	inverterHours  = 15.0
	mostLoadsTried = 3
	heaterW        = 60.0
)

// candidates lists the changes that make sense for a system on this trip; run is
// the worst draw.
func (s *Study) candidates(sys *System, worst int, run *Result) []Fix {
	var out []Fix
	add := func(f Fix) {
		if f.trip == nil {
			f.trip = s.trip
		}
		if f.loads == nil {
			f.loads = s.demand.loads
		}
		if f.system == nil {
			f.system = sys
		}
		out = append(out, f)
	}
	s.dayFixes(sys, worst, add)
	s.systemFixes(sys, add)
	if run.TooColdH() > 0 && sys.Battery.HeaterW == 0 {
		heated := sys.clone()
		heated.Battery.HeaterW = heaterW
		add(Fix{Kind: BatteryHeater, To: heaterW, system: heated})
	}
	s.useFixes(sys, add)
	return out
}

// dayFixes changes one of the days up to the worst.
func (s *Study) dayFixes(sys *System, worst int, add func(Fix)) {
	alternator := sys.has(func(c *Charger) bool { return c.AlternatorA > 0 })
	plugged, adds := sys, ""
	if !sys.has(func(c *Charger) bool { return c.MainsA > 0 }) {
		plugged, adds = withMainsCharger(sys)
	}
	for i := max(0, worst-lookBackDays+1); i <= worst; i++ {
		d := &s.it.days[i]
		stop := &s.trip.Stops[d.stop]
		if hours := stop.Drive.Hours + moreDrivingH; alternator && hours <= mostDrivingH {
			add(Fix{
				Kind: MoreDriving, Day: d.date, Place: stop.Place, From: stop.Drive.Hours, To: hours,
				trip: s.trip.withDay(i, drivesLonger),
			})
		}
		if stop.Mains.Hours == 0 && stop.Generator.Hours == 0 {
			add(Fix{
				Kind: PoweredNight, Day: d.date, Place: stop.Place, To: nightHours, Adds: adds, system: plugged,
				trip: s.trip.withDay(i, func(st *Stop) { st.Mains = Span{nightFromH, nightHours} }),
			})
		}
	}
}

// drivesLonger adds an hour at the end of the day's drive, or before it where
// the day is over.
func drivesLonger(st *Stop) {
	switch {
	case st.Drive.Hours == 0:
		st.Drive = Span{drivingStartH, moreDrivingH}
	case st.Drive.StartH+st.Drive.Hours+moreDrivingH <= 24:
		st.Drive.Hours += moreDrivingH
	default:
		st.Drive.StartH -= moreDrivingH
		st.Drive.Hours += moreDrivingH
	}
}

// withMainsCharger adds the smallest generic mains charger worth having.
func withMainsCharger(sys *System) (*System, string) {
	c := sys.clone()
	for _, p := range profiles.Chargers() {
		if p.MainsA >= leastMainsA && p.AlternatorA == 0 && p.NominalV == sys.Battery.NominalV {
			c.Chargers = append(c.Chargers, Charger{Name: p.Name, MainsA: p.MainsA, Efficiency: p.Efficiency, Priority: 1})
			return c, p.Name
		}
	}
	return c, ""
}

// systemFixes changes a part of the system.
func (s *Study) systemFixes(sys *System, add func(Fix)) {
	if u := ChargerOf(sys); u >= 0 && s.useful(&sys.Chargers[u]) {
		c := &sys.Chargers[u]
		if a, ok := nextAbove(ChargerSizes(sys), c.RatingA()); ok {
			add(Fix{Kind: LargerCharger, What: c.Name, From: c.RatingA(), To: a, system: WithChargerA(sys, u, a)})
		}
	} else if sizes := ChargerSizes(sys); u < 0 && s.driven() && len(sizes) > 0 {
		add(Fix{Kind: LargerCharger, To: sizes[0], system: WithChargerA(sys, -1, sizes[0])})
	}
	for _, b := range BankSizes(sys) {
		if b.Ah > sys.BankAh() {
			add(Fix{Kind: LargerBattery, From: sys.BankAh(), To: b.Ah, system: WithBank(sys, b.Ah, b.Count)})
			break
		}
	}
	if p, ok := profiles.PanelByID("folding_120"); ok {
		p.Name = fmt.Sprintf("folding panel %.0f W", portableW)
		more := sys.clone().withPanel(p, portableW)
		f := Fix{Kind: PortablePanel, From: 0, To: portableW, system: more}
		if len(more.Chargers) > len(sys.Chargers) {
			f.Adds = more.Chargers[len(more.Chargers)-1].Name
		}
		add(f)
	}
	if sys.StartSoC < 1 {
		full := sys.clone()
		full.StartSoC = 1
		add(Fix{Kind: FullStart, From: sys.StartSoC, To: 1, system: full})
	}
}

// useful reports whether the trip feeds any input of a unit.
func (s *Study) useful(c *Charger) bool {
	mains := slices.ContainsFunc(s.trip.Stops, func(st Stop) bool { return st.Mains.Hours+st.Generator.Hours > 0 })
	return c.AlternatorA > 0 && s.driven() || c.MainsA > 0 && mains || c.SolarA > 0
}

func (s *Study) driven() bool {
	return slices.ContainsFunc(s.trip.Stops, func(st Stop) bool { return st.Drive.Hours > 0 })
}

func nextAbove(sizes []float64, size float64) (float64, bool) {
	for _, v := range sizes {
		if v > size {
			return v, true
		}
	}
	return 0, false
}

// useFixes changes how appliances are used.
func (s *Study) useFixes(sys *System, add func(Fix)) {
	loads := s.demand.loads
	if f, ok := warmerFridges(loads); ok {
		add(f)
	}
	if sys.Inverter.RatedW > 0 {
		if sys.InverterMode == InverterAlways && !s.acAtNight() {
			off := sys.clone()
			off.InverterMode, off.InverterSpan = InverterWindow, Span{inverterFromH, inverterHours}
			add(Fix{Kind: InverterOffAtNight, system: off})
		}
		if sys.InverterMode != InverterNeeded {
			needed := sys.clone()
			needed.InverterMode = InverterNeeded
			add(Fix{Kind: InverterWhenNeeded, system: needed})
		}
	}
	for _, i := range s.largestSpareable(sys) {
		without := slices.Clone(loads)
		// Never on, so that it neither keeps an inverter on nor takes the draws of
		// use from those behind it.
		without[i] = Load{Row: loads[i].Row, Name: loads[i].Name, Kind: Uses, Supply: loads[i].Supply, Duty: 1}
		add(Fix{Kind: WithoutLoad, What: loads[i].Name, loads: without})
	}
}

func warmerFridges(loads []Load) (Fix, bool) {
	warmer := slices.Clone(loads)
	var names []string
	f := Fix{Kind: WarmerFridge}
	for i := range warmer {
		if warmer[i].Kind != Fridge {
			continue
		}
		box := *warmer[i].Fridge
		if len(names) == 0 {
			f.From, f.To = box.SetpointC, box.SetpointC+warmerK
		}
		f.Each = f.Each || box.SetpointC != f.From
		box.SetpointC += warmerK
		warmer[i].Fridge = &box
		names = append(names, warmer[i].Name)
	}
	f.What, f.loads = strings.Join(names, ", "), warmer
	return f, len(names) > 0
}

// acAtNight reports whether an AC appliance asks for power while the inverter
// would be off overnight.
func (s *Study) acAtNight() bool {
	for i := range s.demand.loads {
		l := &s.demand.loads[i]
		if l.Supply != AC {
			continue
		}
		if l.Kind == Fridge {
			return true
		}
		for t, on := range s.demand.onShare[i] {
			h := s.it.slots[t].LocalH
			if on > 0 && (h < inverterFromH || h >= inverterFromH+inverterHours) {
				return true
			}
		}
	}
	return false
}

// largestSpareable lists the appliances that are not essential and ask this
// system for most, largest first; what has no outlet costs it nothing.
func (s *Study) largestSpareable(sys *System) []int {
	typical, err := s.Typical(sys)
	if err != nil {
		return nil
	}
	var list []int
	asked := make([]float64, len(s.demand.loads))
	for i := range s.demand.loads {
		asked[i] = typical.Loads[i].AskedWh - typical.Loads[i].NoOutletWh
		if l := &s.demand.loads[i]; !l.Essential && !l.Medical && asked[i] > missedWh {
			list = append(list, i)
		}
	}
	slices.SortStableFunc(list, func(a, b int) int { return int(math.Copysign(1, asked[b]-asked[a])) })
	return list[:min(len(list), mostLoadsTried)]
}
