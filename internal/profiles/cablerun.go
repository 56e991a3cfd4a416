package profiles

import (
	"fmt"
	"math"
)

// Conductor temperatures (C): the limit of 70 C insulation, and the air that
// the ampacities of presets/conductors.csv are for.
const (
	insulationMaxC   = 70
	ampacityAirC     = 30
	maxParallelCable = 4
	minCableMM2      = 1 // for strength: ISO 10133 (from memory)
)

// AmpacityFactor is what is left of the ampacity of a cable with 70 C
// insulation in air of a temperature (C) other than 30: the root of the
// temperature rise that is left, as heat grows with the square of the current.
// It gives the factors of IEC 60364-5-52 Table B.52.14 (from memory: .94 at 35,
// .87 at 40, .79 at 45, .71 at 50, .61 at 55, .50 at 60 C). 0 from 70 C on.
func AmpacityFactor(airC float64) float64 {
	return math.Sqrt(max(0, insulationMaxC-airC) / (insulationMaxC - ampacityAirC))
}

// CableRun is a run of one copper conductor each way, or of several equal ones
// in parallel. To be confirmed against the local standard by a licensed person.
type CableRun struct {
	MM2       float64 // cross-section of each conductor
	OhmPerKm  float64 // of each conductor at its temperature, class 5
	Parallel  int     // conductors each way
	ConductC  float64 // temperature of the conductor at the current
	AmpacityA float64 // continuous, 70 C insulation, of all conductors together
	FuseA     float64 // next standard fuse above the current, of all together
	DropV     float64 // there and back
	DropPct   float64 // of the nominal voltage
	LossW     float64
}

// RunOhm is the resistance (ohm) of the whole run, go and return.
func (r CableRun) RunOhm(oneWayM float64) float64 {
	return 2 * oneWayM / 1000 * r.OhmPerKm / float64(r.Parallel)
}

// PickCable is the smallest flexible (class 5) conductor, 1 mm2 or more, that carries a
// continuous current (A) over a one-way run (m) in air of a temperature (C,
// below 70) within a drop (percent of the nominal voltage), and that the next
// standard fuse protects. The ampacity is lowered to the air ([AmpacityFactor]),
// and the resistance is taken at the temperature that
// the conductor itself then has (IEC 60228 annex: .393 %/K). Where no single
// one serves, up to four are laid in parallel.
func PickCable(currentA, oneWayM, maxDropPct, nominalV, airC float64) (CableRun, error) {
	if !(currentA >= 0) || !(oneWayM >= 0) || !(maxDropPct > 0) || !(nominalV > 0) ||
		!(airC >= -50 && airC < insulationMaxC) || math.IsInf(currentA+oneWayM, 0) {
		return CableRun{}, fmt.Errorf("cable: %g A over %g m within %g %% of %g V in air of %g °C makes no sense; use e.g. 30 A, 5 m, 3 %%, 12 V, 40 °C",
			currentA, oneWayM, maxDropPct, nominalV, airC)
	}
	for n := 1; n <= maxParallelCable; n++ {
		for _, row := range conductors() {
			if row.mm2 < minCableMM2 {
				continue
			}
			if r, ok := row.carry(currentA, oneWayM, nominalV, airC, n); ok && r.DropPct <= maxDropPct {
				return r, nil
			}
		}
	}
	return CableRun{}, fmt.Errorf("cable: not even %d copper conductors of %g mm² in parallel carry %.0f A over %g m within %g %% of %g V; "+
		"shorten the run or raise the nominal voltage", maxParallelCable, conductors()[len(conductors())-1].mm2, currentA, oneWayM, maxDropPct, nominalV)
}

// carry lays n of the conductors side by side; false when no fuse both lets
// the current through and protects them.
func (row conductorRow) carry(currentA, oneWayM, nominalV, airC float64, n int) (CableRun, bool) {
	ampacity := row.ampacityA * AmpacityFactor(airC) * float64(n)
	fuseA := nextFuseA(currentA)
	if fuseA == 0 || fuseA > ampacity {
		return CableRun{}, false
	}
	load := currentA / (row.ampacityA * float64(n))
	tempC := airC + (insulationMaxC-ampacityAirC)*load*load
	ohm, _ := ConductorOhmPerKm(row.mm2, tempC, 5)
	dropV := VoltageDrop(currentA/float64(n), oneWayM, ohm)
	return CableRun{
		MM2: row.mm2, OhmPerKm: ohm, Parallel: n, ConductC: tempC, AmpacityA: ampacity, FuseA: fuseA,
		DropV: dropV, DropPct: 100 * dropV / nominalV, LossW: dropV * currentA,
	}, true
}

// nextFuseA is the next standard fuse above a current; 0 when there is none.
func nextFuseA(currentA float64) float64 {
	for _, size := range fuses() {
		if size > currentA {
			return size
		}
	}
	return 0
}
