package scenario

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"unicode"

	"tripsim/internal/profiles"
	"tripsim/internal/sim"
)

// Each function here is one check between cells or rows; its message says what
// is wrong and how to mend it.

// maxName is the longest name of a place, appliance or system, in characters.
const maxName = 500

// name returns a text cell that labels something in results.
func (k *checker) name(c *cell) string {
	s, _ := k.value(c)
	switch {
	case len([]rune(s)) > maxName:
		k.report(c, "has %d characters; at most %d are kept", len([]rune(s)), maxName)
	case strings.ContainsFunc(s, unicode.IsControl):
		k.report(c, "%s holds a line break or control character; write it in one line", quoted(s))
	}
	return s
}

// unique finds a name that stands in the table already.
func (k *checker) unique(c *cell, taken []string) {
	if !c.bad && c.given() && slices.ContainsFunc(taken, func(s string) bool { return strings.EqualFold(s, c.text) }) {
		k.report(c, "%s stands here already; every name once, e.g. %s", quoted(c.text), quoted(c.text+" 2"))
	}
}

func (k *checker) uniqueIn(c *cell, system string, taken []string) {
	if !c.bad && c.given() && slices.ContainsFunc(taken, func(s string) bool { return strings.EqualFold(s, c.text) }) {
		k.report(c, "system %s has %s already; every name once per system, e.g. %s", quoted(system), quoted(c.text), quoted(c.text+" 2"))
	}
}

// systemOf finds the system that a charger or panel belongs to, -1 if none.
func (k *checker) systemOf(c *cell, names []string) int {
	name, ok := k.value(c)
	if !ok {
		return -1
	}
	i := slices.IndexFunc(names, func(s string) bool { return strings.EqualFold(s, name) })
	unnamed := slices.Contains(names, "") // reported in systems.csv; this may be its unit
	if i < 0 && !unnamed && !k.straySystems && len(names) > 0 {
		k.report(c, "%s is not a system of systems.csv; %s", quoted(name), didYouMean(name, names))
	}
	return i
}

// checkInputs finds a unit without any input, or with a limit that says nothing.
func (k *checker) checkInputs(r *chargerRow, c *sim.Charger) {
	if r.AlternatorA.bad || r.SolarA.bad || r.MainsA.bad || r.TotalA.bad {
		return
	}
	sum := c.AlternatorA + c.SolarA + c.MainsA
	switch {
	case sum == 0:
		k.report(&r.Charger, "%s has no input; give it alternator_a, solar_a or mains_a", quoted(r.Charger.text))
	case c.TotalA == 0:
		k.report(&r.TotalA, "%s lets nothing through; leave it blank for the sum of the inputs", quoted(r.TotalA.text))
	case c.TotalA > sum:
		k.warn("%s:%d: total_a: %g A is more than all inputs together (%g A) and limits nothing", r.TotalA.at.table.File, r.TotalA.at.line, c.TotalA, sum)
	}
}

// checkSoC holds the states of charge of a system in order.
func (k *checker) checkSoC(r *systemRow, s *sim.System) {
	minSoC := s.Battery.MinSoC
	if math.IsNaN(minSoC) {
		if r.MinSoCPct.bad {
			return
		}
		minSoC = s.Battery.Chemistry.MinSoC
	}
	below := func(c *cell, v float64) bool { return !c.bad && !math.IsNaN(v) && v < minSoC }
	if below(&r.ReconnectSoCPct, s.Battery.ReconnectSoC) {
		k.report(&r.ReconnectSoCPct, "%s %% is below the cut-off of %s %%; the battery would reconnect before it disconnects", r.ReconnectSoCPct.text, percent(minSoC))
	}
	if below(&r.StartSoCPct, s.StartSoC) {
		k.report(&r.StartSoCPct, "%s %% is below the cut-off of %s %%; start higher or lower min_soc_pct", r.StartSoCPct.text, percent(minSoC))
	}
	if s.ShedSoC > 0 && below(&r.ShedSoCPct, s.ShedSoC) {
		k.report(&r.ShedSoCPct, "%s %% is below the cut-off of %s %%, where everything is off; write a higher value or 0", r.ShedSoCPct.text, percent(minSoC))
	}
}

func percent(share float64) string { return plain(math.Round(share*1000) / 10) }

// checkChargeVoltage holds charge_v against the voltage of the system.
func (k *checker) checkChargeVoltage(r *systemRow, b *profiles.BatterySpec) {
	if r.ChargeV.bad || r.NominalV.bad || math.IsNaN(b.ChargeV) {
		return
	}
	if low, high := b.NominalV*1.05, b.NominalV*1.35; b.ChargeV < low || b.ChargeV > high {
		k.report(&r.ChargeV, "%s V does not charge a %g V battery; use e.g. %g", r.ChargeV.text, b.NominalV, 14.4*b.NominalV/12)
	}
}

// inverter checks the ratings of an inverter against each other.
func (k *checker) inverter(r *systemRow) profiles.Inverter {
	rated, surge, idle := k.number(&r.InverterW), k.number(&r.InverterSurgeW), k.number(&r.InverterIdleW)
	if r.InverterW.bad || r.InverterSurgeW.bad || r.InverterIdleW.bad || r.NominalV.bad || rated == 0 {
		return profiles.Inverter{}
	}
	if surge < rated {
		k.report(&r.InverterSurgeW, "%s W is below inverter_w; use e.g. %g or leave it blank", r.InverterSurgeW.text, 2*rated)
		return profiles.Inverter{}
	}
	if idle >= rated {
		k.report(&r.InverterIdleW, "%s W is not below inverter_w; use e.g. %g or leave it blank", r.InverterIdleW.text, math.Ceil(rated/100))
		return profiles.Inverter{}
	}
	nominalV := 12.0
	if v, ok := k.value(&r.NominalV); ok {
		fmt.Sscan(v, &nominalV) // a choice of 12, 24, 48
	}
	v, err := profiles.NewInverter(rated, surge, idle, nominalV)
	if err != nil && !slices.Contains(r.NominalV.col.Choices, r.NominalV.text) {
		return profiles.Inverter{} // nominal_v is reported where it is read
	}
	if err != nil {
		k.report(&r.InverterW, "%s", strings.TrimPrefix(err.Error(), "inverter: "))
	}
	return v
}

// checkTrip runs the checks over the whole itinerary.
func (k *checker) checkTrip(rows []tripRow, t *sim.Trip) {
	k.checkDays(rows, t)
	for i := range rows {
		k.checkDrive(&rows[i], &t.Stops[i])
		k.checkGenerator(&rows[i])
		k.checkTemperatures(&rows[i], &t.Stops[i])
	}
	if !k.strayStops {
		k.checkOverlaps(rows, t)
		k.checkDistances(rows, t)
	}
	k.checkZones(rows, t)
}

func (k *checker) checkDays(rows []tripRow, t *sim.Trip) {
	days := 0
	for i, s := range t.Stops {
		if days += s.Days; days > MaxDays {
			k.report(&rows[i].Days, "the trip has more than %d days; split it into several scenarios", MaxDays)
			return
		}
	}
}

func (k *checker) checkDrive(r *tripRow, s *sim.Stop) {
	if !r.DriveStart.bad && !r.DriveHours.bad && s.Drive.StartH+s.Drive.Hours > 24+1e-9 {
		k.report(&r.DriveHours, "%s hours from %s run past midnight; start earlier or put the rest of the drive into the next day's row", r.DriveHours.text, clockString(s.Drive.StartH))
	}
}

func (k *checker) checkGenerator(r *tripRow) {
	if r.GeneratorHours.bad || r.GeneratorW.bad {
		return
	}
	hours, watts := k.number(&r.GeneratorHours), k.number(&r.GeneratorW)
	switch {
	case hours > 0 && watts == 0:
		k.report(&r.GeneratorW, "is missing while generator_hours is %s; give its power, e.g. %s", r.GeneratorHours.text, r.GeneratorW.col.Example)
	case hours == 0 && watts > 0:
		k.warn("%s:%d: generator_w: the generator never runs; give generator_hours", r.GeneratorW.at.table.File, r.GeneratorW.at.line)
	}
}

func (k *checker) checkTemperatures(r *tripRow, s *sim.Stop) {
	if r.TempMinC.bad || r.TempMaxC.bad {
		return
	}
	switch {
	case r.TempMinC.given() != r.TempMaxC.given():
		c := &r.TempMinC
		if c.given() {
			c = &r.TempMaxC
		}
		k.report(c, "is blank but the other temperature is given; give both or neither")
	case s.TempMaxC < s.TempMinC:
		k.report(&r.TempMaxC, "%s is below temp_min_c %s; swap them", quoted(r.TempMaxC.text), r.TempMinC.text)
	}
}

func clockString(h float64) string {
	m := int(math.Round(h * 60))
	return fmt.Sprintf("%02d:%02d", m/60, m%60)
}

// use is one span of a day on the axis of clock hours since the trip's start.
type use struct {
	row      int
	from, to float64
}

// checkOverlaps finds a vehicle that drives while it is plugged in, and mains
// and generator at the same time. Days are taken as 24 hours here.
func (k *checker) checkOverlaps(rows []tripRow, t *sim.Trip) {
	var drives, mains, gens []use
	day := 0
	for i := range t.Stops {
		s := &t.Stops[i]
		for range min(s.Days, MaxDays) {
			add := func(list *[]use, span sim.Span, bad bool) {
				if span.Hours > 0 && !bad {
					*list = append(*list, use{i, float64(day)*24 + span.StartH, float64(day)*24 + span.StartH + span.Hours})
				}
			}
			r := &rows[i]
			add(&drives, s.Drive, r.DriveStart.bad || r.DriveHours.bad)
			add(&mains, s.Mains, r.MainsStart.bad || r.MainsHours.bad)
			add(&gens, s.Generator, r.GeneratorStart.bad || r.GeneratorHours.bad)
			day++
		}
		if day > MaxDays {
			break
		}
	}
	k.reportOverlaps(mains, drives, "mains", "the drive", func(i int) *cell { return &rows[i].MainsHours })
	k.reportOverlaps(gens, drives, "the generator", "the drive", func(i int) *cell { return &rows[i].GeneratorHours })
	k.reportOverlaps(gens, mains, "the generator", "mains", func(i int) *cell { return &rows[i].GeneratorHours })
}

// reportOverlaps reports each row of a that overlaps a use of b, once.
func (k *checker) reportOverlaps(a, b []use, aName, bName string, at func(row int) *cell) {
	for _, u := range a {
		c := at(u.row)
		if c.bad {
			continue
		}
		for _, v := range b {
			if math.Min(u.to, v.to)-math.Max(u.from, v.from) <= 1e-9 {
				continue
			}
			when := "the same day"
			if math.Floor(v.from/24) > math.Floor(u.from/24) {
				when = "the next day"
			} else if math.Floor(v.from/24) < math.Floor(u.from/24) {
				when = "the day before"
			}
			k.report(c, "%s from %s to %s overlaps %s of %s from %s to %s; shorten one or move it",
				aName, clockOfDay(u.from), clockOfDay(u.to), bName, when, clockOfDay(v.from), clockOfDay(v.to))
			break
		}
	}
}

func clockOfDay(h float64) string { return clockString(math.Mod(h, 24)) }

// A drive that is faster in a straight line than maxKmH, or a move of more
// than ferryKm without a drive, is more likely a mistake in a coordinate.
const maxKmH, ferryKm = 110, 50

// checkDistances warns of positions that the drive cannot have reached.
func (k *checker) checkDistances(rows []tripRow, t *sim.Trip) {
	for i := 1; i < len(t.Stops); i++ {
		a, b, r := t.Stops[i-1].Position, t.Stops[i].Position, &rows[i]
		km := greatCircleKm(a.LatDeg, a.LonDeg, b.LatDeg, b.LonDeg)
		if math.IsNaN(km) || r.DriveHours.bad {
			continue
		}
		hours := t.Stops[i].Drive.Hours
		switch {
		case hours == 0 && km > ferryKm:
			k.warn("%s:%d: latitude, longitude: %s is %.0f km from the stop above without any drive; right for a ferry or flight, else check the coordinates", r.Place.at.table.File, r.Place.at.line, quoted(r.Place.text), km)
		case hours > 0 && km/hours > maxKmH:
			k.warn("%s:%d: latitude, longitude: %s is %.0f km from the stop above, too far for %g hours of driving; check the coordinates", r.Place.at.table.File, r.Place.at.line, quoted(r.Place.text), km, hours)
		}
	}
}

// greatCircleKm is the distance on the sphere of 6,371 km (haversine form).
func greatCircleKm(lat1, lon1, lat2, lon2 float64) float64 {
	const rad = math.Pi / 180
	sLat, sLon := math.Sin((lat2-lat1)*rad/2), math.Sin((lon2-lon1)*rad/2)
	h := sLat*sLat + math.Cos(lat1*rad)*math.Cos(lat2*rad)*sLon*sLon
	return 2 * 6371 * math.Asin(math.Min(1, math.Sqrt(h)))
}

// checkZones warns of a clock that is far from the sun's: the coordinates may
// be swapped or have the wrong sign.
func (k *checker) checkZones(rows []tripRow, t *sim.Trip) {
	for i := range t.Stops {
		s, r := &t.Stops[i], &rows[i]
		if !r.TimeZone.given() || s.Zone == nil || math.IsNaN(s.Position.LonDeg) || s.Date.IsZero() || math.Abs(s.Position.LatDeg) > 75 {
			continue
		}
		_, offset := s.Date.In(s.Zone).Zone()
		apart := math.Abs(math.Mod(float64(offset)/3600-s.Position.LonDeg/15+36, 24) - 12)
		if apart > 4 {
			k.warn("%s:%d: time_zone: the clock of %s is %.0f hours off the sun at %s; check zone and longitude", r.TimeZone.at.table.File, r.TimeZone.at.line, r.TimeZone.text, apart, quoted(r.Place.text))
		}
	}
}

// checkOutlets warns of AC appliances that a system cannot feed.
func (k *checker) checkOutlets(t *sim.Trip, loads []sim.Load, systems []sim.System) {
	var ac []string
	for _, l := range loads {
		if l.Supply == sim.AC {
			ac = append(ac, l.Name)
		}
	}
	if len(ac) == 0 {
		return
	}
	powered := slices.ContainsFunc(t.Stops, func(s sim.Stop) bool { return s.Mains.Hours > 0 || s.Generator.Hours > 0 })
	for i := range systems {
		s := &systems[i]
		switch {
		case s.Inverter.RatedW > 0:
		case powered && s.ACTransfer:
			k.warn("%s:%d: system %s has no inverter: %s run only at powered sites", systemsSpec.File, s.Row, quoted(s.Name), someOf(ac))
		default:
			k.warn("%s:%d: system %s has no inverter and no powered site feeds its outlets: %s never run", systemsSpec.File, s.Row, quoted(s.Name), someOf(ac))
		}
	}
}

// checkSources warns of systems that nothing ever charges.
func (k *checker) checkSources(systems []sim.System) {
	for i := range systems {
		s := &systems[i]
		if len(s.Chargers) == 0 {
			k.warn("%s:%d: system %s has no unit in chargers.csv: nothing charges it", systemsSpec.File, s.Row, quoted(s.Name))
			continue
		}
		for j, c := range s.Chargers {
			fed := slices.ContainsFunc(s.Panels, func(p sim.Panel) bool { return p.Charger == j })
			if c.SolarA > 0 && !fed && c.AlternatorA == 0 && c.MainsA == 0 {
				k.warn("%s:%d: %s of system %s has only a solar input but no panel in panels.csv", chargersSpec.File, c.Row, quoted(c.Name), quoted(s.Name))
			}
		}
	}
}

func someOf(names []string) string {
	if len(names) > 4 {
		return fmt.Sprintf("%s and %d more", strings.Join(names[:3], ", "), len(names)-3)
	}
	return strings.Join(names, ", ")
}
