package sim

import (
	"math"
	"slices"
	"sync"

	"tripsim/internal/solar"
)

// panelPlan is a panel over the slots of a trip.
type panelPlan struct {
	unit    int
	ratedW  float64
	params  solar.PanelParams
	factors []solar.PlaneFactors // shared between systems: read only
	light   []float64            // per slot: share of the sun left by shade, 0 = stowed
}

// planPanel lays a panel out over the slots.
func (s *Study) planPanel(pn *Panel, unit int, fixed []fixedSlot) panelPlan {
	it := s.it
	n := len(it.slots)
	pp := panelPlan{
		unit: unit, ratedW: pn.RatedW, params: panelParams(pn),
		factors: s.planes.of(planeOf(pn), s), light: make([]float64, n),
	}
	for t := range n {
		slot := &it.slots[t]
		light := (1 - pn.Shade) * (1 - slot.ShadeIn) * fixed[t].docked
		if !pn.onTheRoad() {
			light *= 1 - slot.DriveH/it.stepH
		}
		if s.intervals[t].I0HorizWm2 <= 0 || light <= 0 {
			continue
		}
		pp.light[t] = light
	}
	return pp
}

// planeOf is how a panel stands.
func planeOf(pn *Panel) solar.Plane {
	pl := solar.Plane{Mount: solar.Fixed, TiltDeg: pn.TiltDeg, AzimuthDeg: pn.AzimuthDeg}
	if math.IsNaN(pn.AzimuthDeg) {
		pl.AzimuthDeg = 0
		if pn.Mount == Roof {
			pl.Mount = solar.HeadingAveraged
		} else {
			pl.Mount, pl.TurnsPerDay = solar.Turned, max(1, pn.TurnsPerDay)
		}
	}
	return pl
}

// planeBudget bounds what a study keeps of planes, bytes.
const planeBudget = 64 << 20

// planeCache keeps the factors of planes of a trip: candidates differ in
// battery, charger and power far more often than in how their panels stand. It
// is bounded, the plane that was asked for least recently goes first, and safe
// for concurrent use.
type planeCache struct {
	mu   sync.Mutex
	kept []*planeEntry // the latest last
}

type planeEntry struct {
	plane   solar.Plane
	once    sync.Once
	factors []solar.PlaneFactors
}

// of returns the factors of a plane in every slot of the study with sun.
func (c *planeCache) of(pl solar.Plane, s *Study) []solar.PlaneFactors {
	e := c.entry(pl, max(4, planeBudget/40/len(s.it.slots)))
	e.once.Do(func() {
		e.factors = make([]solar.PlaneFactors, len(s.it.slots))
		for t := range e.factors {
			if s.intervals[t].I0HorizWm2 > 0 {
				e.factors[t] = solar.PlaneFactorsAt(s.it.slots[t].Start, s.opt.Step, s.it.place[t], pl, s.opt.Linke)
			}
		}
	})
	return e.factors
}

func (c *planeCache) entry(pl solar.Plane, most int) *planeEntry {
	c.mu.Lock()
	defer c.mu.Unlock()
	i := slices.IndexFunc(c.kept, func(e *planeEntry) bool { return e.plane == pl })
	e := &planeEntry{plane: pl}
	if i >= 0 {
		e = c.kept[i]
		c.kept = slices.Delete(c.kept, i, i+1)
	} else if len(c.kept) >= most {
		c.kept = slices.Delete(c.kept, 0, 1)
	}
	c.kept = append(c.kept, e)
	return e
}
