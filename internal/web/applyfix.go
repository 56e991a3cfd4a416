package web

import (
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"tripsim/internal/scenario"
	"tripsim/internal/sim"
)

const (
	tripFile, loadsFile                = "trip.csv", "loads.csv"
	systemsFile, unitsFile, panelsFile = "systems.csv", "chargers.csv", "panels.csv"
)

// applyFix returns the tables that a change touches, with the change made; false
// where the tables cannot say the change faithfully: read again they must give
// the very trip, appliances and system that were tried.
func (s *Server) applyFix(doc *document, sc *scenario.Scenario, at int, x *sim.Fix) (sheets, bool) {
	e := &fixEdit{doc, sc, at, sheets{}}
	_, loads, system := x.Changed()
	switch x.Kind {
	case sim.MoreDriving, sim.PoweredNight:
		if !e.day(x) {
			return nil, false
		}
	case sim.WarmerFridge:
		for i := range loads {
			if f := loads[i].Fridge; f != nil {
				e.write(loadsFile, e.rows(loadsFile)[i], "setpoint_c", cellOf(f.SetpointC))
			}
		}
	case sim.WithoutLoad:
		i := slices.IndexFunc(sc.Loads, func(l sim.Load) bool { return l.Name == x.What })
		// The draws of use go by the place in the list, so that they would be others.
		if i < 0 || s.cfg.Options.UseSpread > 0 {
			return nil, false
		}
		row, t := e.rows(loadsFile)[i], e.table(loadsFile)
		t.Rows = slices.Delete(t.Rows, row, row+1)
	}
	e.system(&sc.Systems[at], system)
	all := maps.Clone(doc.now)
	maps.Copy(all, e.now)
	made, err := doc.edited(all)
	if err != nil {
		return nil, false
	}
	read, problems := made.read()
	if len(problems) > 0 || !saysFix(read, at, x) {
		return nil, false
	}
	return e.now, true
}

// day changes one day of a stop; a row of several days is split around it.
func (e *fixEdit) day(x *sim.Fix) bool {
	trip, _, _ := x.Changed()
	stops := e.sc.Trip.Stops
	i := slices.IndexFunc(stops, func(s sim.Stop) bool {
		return !x.Day.Before(s.Date) && x.Day.Before(s.Date.AddDate(0, 0, s.Days))
	})
	k := slices.IndexFunc(trip.Stops, func(s sim.Stop) bool { return s.Date.Equal(x.Day) })
	if i < 0 || k < 0 {
		return false
	}
	before := int(math.Round(x.Day.Sub(stops[i].Date).Hours() / (24 * time.Hour).Hours()))
	row := e.split(e.rows(tripFile)[i], before, stops[i].Days-before-1)
	to := &trip.Stops[k]
	e.span(row, "drive", to.Drive)
	e.span(row, "mains", to.Mains)
	if to.Idle.Hours > 0 {
		e.write(tripFile, row, "idle_start", scenario.ClockText(to.Idle.StartH)) // blank it would move with the drive
	}
	return true
}

func (e *fixEdit) span(row int, name string, s sim.Span) {
	if s.Hours > 0 {
		e.write(tripFile, row, name+"_start", scenario.ClockText(s.StartH))
		e.write(tripFile, row, name+"_hours", cellOf(s.Hours))
	}
}

// split gives a day of a row its own row and returns where that stands.
func (e *fixEdit) split(row, before, after int) int {
	if before+after == 0 {
		return row
	}
	e.write(tripFile, row, "days", "1")
	if before > 0 {
		e.repeat(row)
		e.write(tripFile, row, "days", strconv.Itoa(before))
		row++
	}
	if after > 0 {
		e.repeat(row)
		e.write(tripFile, row+1, "days", strconv.Itoa(after))
	}
	return row
}

// repeat puts a copy of a stop below it, without a date: it follows on.
func (e *fixEdit) repeat(row int) {
	t := e.table(tripFile)
	cells := slices.Clone(t.Rows[row].Cells)
	if j := columnOf(t, "date"); j >= 0 && j < len(cells) {
		cells[j] = ""
	}
	t.Rows = slices.Insert(t.Rows, row+1, sheetRow{-1, cells})
}

// system writes what differs between two systems.
func (e *fixEdit) system(from, to *sim.System) {
	row := e.rows(systemsFile)[e.at]
	put := func(name, cell string) { e.write(systemsFile, row, name, cell) }
	if to.StartSoC != from.StartSoC {
		put("start_soc_pct", cellOf(100*to.StartSoC))
	}
	if w := to.Battery.HeaterW; w != from.Battery.HeaterW {
		put("heater_w", cellOf(w))
	}
	if to.InverterMode != from.InverterMode {
		put("inverter_on", operationOf(to))
	}
	if a, b := &from.Battery, &to.Battery; b.CapacityAh != a.CapacityAh || b.Count != a.Count {
		put("battery_ah", cellOf(b.CapacityAh))
		put("batteries", strconv.Itoa(b.Count))
		if !math.IsNaN(b.MaxChargeA) {
			put("max_charge_a", cellOf(b.MaxChargeA))
		}
		if !math.IsNaN(b.MaxDischargeA) {
			put("max_discharge_a", cellOf(b.MaxDischargeA))
		}
	}
	for u := range from.Chargers {
		e.unit(u, &from.Chargers[u], &to.Chargers[u])
	}
	for _, c := range to.Chargers[len(from.Chargers):] {
		row := e.insert(unitsFile)
		e.write(unitsFile, row, "charger", c.Name)
		e.amps(row, &c)
		e.write(unitsFile, row, "efficiency_pct", cellOf(100*c.Efficiency))
		e.write(unitsFile, row, "priority", strconv.Itoa(c.Priority))
	}
	for _, p := range to.Panels[len(from.Panels):] {
		e.panel(&p, to)
	}
}

// unit writes another rating of a charger. Its name changes with it where it
// says the rating, and panels that feed it follow.
func (e *fixEdit) unit(u int, from, to *sim.Charger) {
	if to.RatingA() == from.RatingA() {
		return
	}
	row := e.own(unitsFile)[u]
	e.amps(row, to)
	name := strings.Replace(from.Name, cellOf(from.RatingA())+" A", cellOf(to.RatingA())+" A", 1)
	if name == from.Name || e.free(unitsFile, "charger", name) != name {
		return
	}
	e.write(unitsFile, row, "charger", name)
	for _, r := range e.own(panelsFile) {
		if strings.EqualFold(e.cell(panelsFile, r, "charger"), from.Name) {
			e.write(panelsFile, r, "charger", name)
		}
	}
}

func (e *fixEdit) amps(row int, c *sim.Charger) {
	inputs := map[string]float64{"alternator_a": c.AlternatorA, "solar_a": c.SolarA, "mains_a": c.MainsA, "total_a": c.TotalA}
	for _, name := range []string{"alternator_a", "solar_a", "mains_a", "total_a"} {
		if inputs[name] > 0 { // NaN: not given
			e.write(unitsFile, row, name, cellOf(inputs[name]))
		}
	}
}

func (e *fixEdit) panel(p *sim.Panel, of *sim.System) {
	row := e.insert(panelsFile)
	mount := "roof"
	if p.Mount == sim.Portable {
		mount = "portable"
	}
	unit := of.Chargers[p.Charger].Name
	for _, c := range [][2]string{
		{"panel", e.free(panelsFile, "panel", p.Name)},
		{"watts", cellOf(p.RatedW)},
		{"mount", mount},
		{"tilt_deg", cellOf(p.TiltDeg)},
		{"turns_per_day", strconv.Itoa(p.TurnsPerDay)},
		{"charger", unit},
		{"soiling_pct", cellOf(100 * p.Soiling)},
		{"temp_coeff_pct_per_k", cellOf(100 * p.TempCoeffPerK)},
		{"noct_c", cellOf(p.NOCTC)},
	} {
		e.write(panelsFile, row, c[0], c[1])
	}
}

// cellOf writes a figure; a product such as 100 times 0.38 without its last bits.
func cellOf(v float64) string {
	return strconv.FormatFloat(math.Round(v*1e9)/1e9, 'f', -1, 64)
}

func operationOf(s *sim.System) string {
	switch s.InverterMode {
	case sim.InverterNeeded:
		return "needed"
	case sim.InverterAlways:
		return "always"
	}
	return scenario.ClockText(s.InverterSpan.StartH) + "-" + scenario.ClockText(math.Mod(s.InverterSpan.StartH+s.InverterSpan.Hours, 24))
}
