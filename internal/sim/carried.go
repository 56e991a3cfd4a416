package sim

import "math"

// Goal is what is asked of a system: at most the share FlatRisk of the draws
// (0..1) may not be carried. A trip is carried when, from its first moment to its
// last,
//
//   - the battery never goes flat,
//   - no appliance misses energy (more than 1 Wh in all) because the battery is
//     flat, its limits of current or voltage cut in, or the inverter's rating is
//     exceeded: a battery too small to run the kettle must not pass because it
//     never runs it. What the system has no outlet for, or sheds on purpose, is
//     not missed;
//   - the state of charge never comes closer than Reserve (0..1 of the capacity)
//     to the cut-off.
//
// This is the one meaning of "carried": verdict, sizes, seasons and fixes ask
// Result.Carried, Risk.NotCarried or the probe of a grid.
type Goal struct{ FlatRisk, Reserve float64 }

// carried decides for one trip. The reserve is told to half a thousandth of the
// capacity, so that single trips and streamed ones agree.
func carried(flat bool, unservedWh, above, reserve float64) bool {
	return !flat && unservedWh <= missedWh && bin(above, fineBins) >= reserveBin(reserve)
}

// missedWh is the unserved energy of a trip that no one misses, Wh.
const missedWh = 1

// reserveBin is the lowest bin of trips that keep a reserve.
func reserveBin(reserve float64) int { return int(math.Ceil(reserve*fineBins - 1e-9)) }

// Carried reports whether this trip is carried with a reserve; see Goal.
func (r *Result) Carried(reserve float64) bool {
	return carried(r.FlatH > 0, r.Total.UnservedWh, r.Reserve(), reserve)
}

// NotCarried is the share of draws that are not carried with a reserve; see Goal.
func (r *Risk) NotCarried(reserve float64) Proportion {
	if r.kept == nil { // not streamed: the reserves are not known
		if r.Short.Share > r.Flat.Share {
			return r.Short
		}
		return r.Flat
	}
	held := int64(0)
	for _, n := range r.kept[min(len(r.kept), reserveBin(reserve)):] {
		held += n
	}
	return Wilson(r.Draws-int(held), r.Draws)
}

// missedLast reports whether the latest draw is not carried with a reserve.
func (y *tally) missedLast(reserve float64) bool { return y.keptLast < reserveBin(reserve) }
