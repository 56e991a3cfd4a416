package profiles

import "sync"

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
