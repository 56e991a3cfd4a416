package report

import (
	"slices"

	"tripsim/internal/sim"
)

// OutletLack is why an AC appliance is not fed away from powered sites.
type OutletLack int

const (
	NoLack OutletLack = iota // it is fed
	NoInverter
	SmallInverter // asks for more than the inverter's rating
	InverterOff   // the inverter is off at the time
)

// LackOf says why an appliance is not fed.
func LackOf(r *sim.Result, l *sim.LoadAccount) OutletLack {
	switch rated := r.System.Inverter.RatedW; {
	case l.NoOutletWh <= negligibleWh:
		return NoLack
	case rated <= 0:
		return NoInverter
	case l.PeakW > rated || r.System.InverterMode != sim.InverterWindow:
		return SmallInverter
	default:
		return InverterOff
	}
}

// withoutOutlet lists the appliances that a system cannot feed, for any of some
// reasons: AC appliances at times with no inverter on, or too small a one, and no
// powered site. They are no part of the system's load, but the customer has to
// know.
func withoutOutlet(r *sim.Result, why ...OutletLack) []string {
	var names []string
	for i := range r.Loads {
		if l := &r.Loads[i]; slices.Contains(why, LackOf(r, l)) {
			names = append(names, sentenceName(l.Name))
		}
	}
	return names
}
