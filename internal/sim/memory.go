package sim

import (
	"fmt"
	"unsafe"
)

// MaxMemory bounds the memory that is asked for at once, bytes.
const MaxMemory = 4 << 30

// What is kept, bytes: per step and appliance its mean power and its time on;
// per step of a full run a row and the traces beside it.
const (
	perDemand = 16
	perTrace  = 256 // drives, air, sun, panels, bands of the state of charge
	perCopy   = 8   // of an appliance whose draw depends on the system
)

// laneBudget bounds what the workers of an ensemble may hold, bytes, and perLane
// is what each of them holds per step and system: drives, outlets, air, panels
// and a share of the counts behind the bands.
const (
	laneBudget = 2 << 30
	perLane    = 600
)

// workersWith is how many workers share n draws when each keeps so many systems:
// fewer on a machine of many cores than it has, where their memory would not do.
func (s *Study) workersWith(n, systems int) int {
	each := perLane * int64(len(s.it.slots)) * int64(max(1, systems))
	return max(1, min(workersFor(n), int(laneBudget/each)))
}

// changesAtOnce is how many changed copies of the study are kept at a time.
func (s *Study) changesAtOnce() int {
	each := int64(len(s.it.slots)) * int64(perDemand*len(s.demand.loads)+2*perLane)
	return max(1, int(laneBudget/each))
}

// Memory is about how much memory full runs of so many systems need, bytes.
func (s *Study) Memory(systems int) int64 {
	slots, loads := int64(len(s.it.slots)), int64(len(s.demand.loads))
	copied := int64(0)
	for i := range s.demand.loads {
		if s.demand.loads[i].dependsOnSystem() {
			copied++
		}
	}
	return slots * (perDemand*loads + int64(systems)*(int64(unsafe.Sizeof(Row{}))+perTrace+perCopy*copied))
}

// CheckMemory fails when full runs of so many systems need more than MaxMemory.
func (s *Study) CheckMemory(systems int) error {
	if need := s.Memory(systems); need > MaxMemory {
		return fmt.Errorf("%s in steps of %g min with %s and %s need about %d GB of memory, more than %d: use a longer step, fewer systems at a time, or split the trip",
			counted(len(s.it.days), "day"), s.opt.Step.Minutes(), counted(len(s.demand.loads), "appliance"), counted(systems, "system"), (need+1<<29)>>30, MaxMemory>>30)
	}
	return nil
}

// checkDemand fails when the appliances alone would need more than MaxMemory.
func checkDemand(it *itinerary, loads int, opt Options) error {
	if need := perDemand * int64(len(it.slots)) * int64(loads); need > MaxMemory {
		return fmt.Errorf("%s in steps of %g min with %s need about %d GB of memory, more than %d: use a longer step, fewer appliances, or split the trip",
			counted(len(it.days), "day"), opt.Step.Minutes(), counted(loads, "appliance"), (need+1<<29)>>30, MaxMemory>>30)
	}
	return nil
}

// dependsOnSystem reports whether what an appliance asks for differs between
// systems or draws: a fridge's duty does, and standby on an outlet that is dead
// at times.
func (l *Load) dependsOnSystem() bool {
	return l.Kind == Fridge || l.Supply == AC && l.standbyW() > 0
}

func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
