package scenario

import "tripsim/internal/sim"

// noDays tells whether a trip has not one of a mask's days.
func noDays(t *sim.Trip, m sim.DayMask) bool {
	for i := range t.Stops {
		s := &t.Stops[i]
		driving, mains := s.Drive.Hours > 0, s.Mains.Hours > 0
		switch m {
		case sim.DrivingDays:
			if driving {
				return false
			}
		case sim.ParkedDays:
			if !driving {
				return false
			}
		case sim.MainsDays:
			if mains {
				return false
			}
		case sim.OffGridDays:
			if !mains {
				return false
			}
		default:
			return false
		}
	}
	return true
}

// checkNeverRuns warns of appliances whose days the trip does not have, and of
// packs that are never at their chargers.
func (k *checker) checkNeverRuns(t *sim.Trip, rows []loadRow, loads []sim.Load, systems []sim.System) {
	for i := range loads {
		if !noDays(t, loads[i].Days) {
			continue
		}
		from := ""
		if !rows[i].Days.given() {
			from = " (from its preset)"
		}
		k.warn("%s:%d: %s is used on %v days%s and this trip has none: it never runs; write days, e.g. all", loadsSpec.File, loads[i].Row, loads[i].Name, dayWords[loads[i].Days], from)
	}
	for i := range systems {
		if noDays(t, systems[i].DockedDays) {
			k.warn("%s:%d: system %s is docked on %v days and this trip has none: nothing ever charges it", systemsSpec.File, systems[i].Row, quoted(systems[i].Name), dayWords[systems[i].DockedDays])
		}
	}
}

// dayWords names the masks in a sentence.
var dayWords = map[sim.DayMask]string{
	sim.DrivingDays: "driving", sim.ParkedDays: "parked", sim.OffGridDays: "off-grid", sim.MainsDays: "mains",
}
