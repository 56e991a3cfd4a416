package profiles

import (
	"fmt"
	"math"
	"sync"
)

// Conductor is a copper conductor chosen for a run, go and return counted.
// To be confirmed against the local standard by a licensed person.
type Conductor struct {
	MM2       float64 // cross-section
	OhmPerKm  float64 // at the conductor's temperature, class 5
	AmpacityA float64 // continuous, 70 C insulation
	FuseA     float64 // next standard fuse above the current
	DropV     float64
	DropPct   float64 // of the nominal voltage
	LossW     float64
}

type conductorRow struct{ mm2, solid, flexible, ampacityA float64 }

var conductors = sync.OnceValue(func() []conductorRow {
	t := readPresets("conductors.csv")
	rows := make([]conductorRow, len(t.rows))
	for i := range rows {
		rows[i] = conductorRow{t.number(i, "mm2"), t.number(i, "class1_2"), t.number(i, "class5_6"), t.number(i, "ampacity_a")}
	}
	return rows
})

var fuses = sync.OnceValue(func() []float64 {
	t := readPresets("fuses.csv")
	sizes := make([]float64, len(t.rows))
	for i := range sizes {
		sizes[i] = t.number(i, "amps")
	}
	return sizes
})

// copperPerK is copper's temperature coefficient at 20 C (IEC 60228 annex).
const copperPerK = 0.00393

// ConductorOhmPerKm is the largest resistance (ohm/km) of a plain copper
// conductor of a standard cross-section (mm2), class 1, 2, 5 or 6, at a
// conductor temperature (C): IEC 60228:2004. False for any other size or class.
func ConductorOhmPerKm(mm2, tempC float64, class int) (float64, bool) {
	for _, r := range conductors() {
		if r.mm2 != mm2 {
			continue
		}
		factor := 1 + copperPerK*(tempC-20)
		switch class {
		case 1, 2:
			return r.solid * factor, true
		case 5, 6:
			return r.flexible * factor, true
		}
	}
	return 0, false
}

// ConductorSizes lists the standard cross-sections (mm2).
func ConductorSizes() []float64 {
	sizes := make([]float64, len(conductors()))
	for i, r := range conductors() {
		sizes[i] = r.mm2
	}
	return sizes
}

// FuseSizes lists the standard fuse ratings (A).
func FuseSizes() []float64 { return append([]float64(nil), fuses()...) }

// VoltageDrop is the drop (V) over a run: current (A), one-way length (m), go
// and return counted, resistance (ohm/km).
func VoltageDrop(currentA, oneWayM, ohmPerKm float64) float64 {
	return currentA * 2 * oneWayM / 1000 * ohmPerKm
}

// PickConductor is the smallest flexible (class 5) conductor that carries a
// continuous current (A) over a one-way run (m) within a drop (percent of the
// nominal voltage) at a conductor temperature (C), and that the next standard
// fuse protects.
func PickConductor(currentA, oneWayM, maxDropPct, nominalV, tempC float64) (Conductor, error) {
	if !(currentA >= 0) || !(oneWayM >= 0) || !(maxDropPct > 0) || !(nominalV > 0) || math.IsNaN(tempC) ||
		math.IsInf(currentA+oneWayM, 0) {
		return Conductor{}, fmt.Errorf("conductor: %g A over %g m within %g %% of %g V makes no sense; use e.g. 30 A, 5 m, 3 %%, 12 V",
			currentA, oneWayM, maxDropPct, nominalV)
	}
	for _, r := range conductors() {
		fuseA, err := NextFuseA(currentA, r.mm2)
		if err != nil {
			continue
		}
		ohmPerKm, _ := ConductorOhmPerKm(r.mm2, tempC, 5)
		dropV := VoltageDrop(currentA, oneWayM, ohmPerKm)
		if dropPct := dropV / nominalV * 100; dropPct <= maxDropPct {
			return Conductor{
				MM2: r.mm2, OhmPerKm: ohmPerKm, AmpacityA: r.ampacityA, FuseA: fuseA,
				DropV: dropV, DropPct: dropPct, LossW: dropV * currentA,
			}, nil
		}
	}
	return Conductor{}, fmt.Errorf("conductor: no single copper conductor up to %g mm2 carries %g A over %g m within %g %% of %g V; "+
		"shorten the run, raise the nominal voltage or use several in parallel", conductors()[len(conductors())-1].mm2,
		currentA, oneWayM, maxDropPct, nominalV)
}

// NextFuseA is the next standard fuse (A) above a continuous current, which
// must not exceed what the conductor (standard size, mm2) carries.
func NextFuseA(currentA float64, conductorMM2 float64) (float64, error) {
	for _, r := range conductors() {
		if r.mm2 != conductorMM2 {
			continue
		}
		size := nextFuseA(currentA)
		if size > r.ampacityA {
			return 0, fmt.Errorf("fuse: the next fuse above %g A is %g A, but %g mm2 carries %g A; use a thicker conductor",
				currentA, size, conductorMM2, r.ampacityA)
		}
		if size > 0 {
			return size, nil
		}
		return 0, fmt.Errorf("fuse: no standard fuse above %g A; raise the nominal voltage or split the circuit", currentA)
	}
	return 0, fmt.Errorf("fuse: %g mm2 is not a standard cross-section; use e.g. 16", conductorMM2)
}
