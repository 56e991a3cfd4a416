package profiles

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// runFridge gives mean power and duty over days after a day to settle, and the
// warmest box.
func runFridge(f Fridge, airC, stepH float64, days int, driving bool) (meanW, duty, warmestC float64) {
	m := NewFridgeModel(f, stepH)
	st := m.Start(airC)
	warmestC = -100
	perDay := int(24/stepH + .5)
	for i := range perDay * (days + 2) {
		w, d := m.Step(&st, airC, float64(i%perDay)*stepH, driving)
		if i >= 2*perDay {
			meanW += w / float64(perDay*days)
			duty += d / float64(perDay*days)
			warmestC = max(warmestC, st.BoxC)
		}
	}
	return meanW, duty, warmestC
}

// Energy against 25 C of a fridge at 5 C that evaporates at -10 C and condenses
// 12 K over the air, at a constant share of Carnot: .445 at 16 C, 1.551 at
// 32 C, 2.628 at 43 C (the ambients of IEC 62552-1); closed form.
func TestFridgeEnergyByAmbient(t *testing.T) {
	f := Fridge{Litres: 50, SetpointC: 5}
	at25, _, _ := runFridge(f, 25, 1.0/12, 60, false)
	var w worst
	for airC, want := range map[float64]float64{16: .445, 32: 1.551, 43: 2.628} {
		got, _, warmest := runFridge(f, airC, 1.0/12, 60, false)
		assert.InEpsilon(t, want, got/at25, .015, "%g C", airC)
		assert.Less(t, warmest, 6.01)
		w.see(got/at25/want-1, fmt.Sprintf("%g C", airC))
	}
	w.report(t, "fridge energy by ambient, relative")

	// -18 C inside evaporating at -28 C: E(32)/E(16) = 1.89, closed form; about 2
	// for fridge-freezers (Harrington, Aye & Fuller, Applied Energy 211 (2018)
	// 346-357; value from memory).
	freezer := Fridge{Litres: 50, SetpointC: -18, UAWPerK: .6, CompressorW: 60}
	at16, _, _ := runFridge(freezer, 16, 1.0/12, 60, false)
	at32, _, _ := runFridge(freezer, 32, 1.0/12, 60, false)
	assert.InEpsilon(t, 1.89, at32/at16, .015)
	t.Logf("freezer: E(32)/E(16) %.3f", at32/at16)
}

// Small compressor fridges at 5 C inside run 20-30 % of the time at 20-25 C,
// 35-50 % at 32 C, 55-80 % at 43 C: trade figures (from memory).
func TestFridgeDutyByAmbient(t *testing.T) {
	for _, litres := range []float64{40, 50, 60} {
		f := Fridge{Litres: litres, SetpointC: 5, OpeningsPerDay: 12, WarmKgPerDay: 1}
		for airC, limits := range map[float64][2]float64{25: {.20, .30}, 32: {.35, .50}, 43: {.55, .80}} {
			w, duty, warmest := runFridge(f, airC, 1.0/12, 30, false)
			assert.GreaterOrEqual(t, duty, limits[0]-.02, "%g l at %g C", litres, airC)
			assert.LessOrEqual(t, duty, limits[1], "%g l at %g C", litres, airC)
			assert.Less(t, warmest, 6.5)
			t.Logf("%g l at %g C: duty %.3f, %.0f Wh/day", litres, airC, duty, w*24)
		}
	}
}

// The heat balance closes: what the compressor took out is what came in.
func TestFridgeHeatBalance(t *testing.T) {
	f := Fridge{Litres: 60, SetpointC: 4, OpeningsPerDay: 20, WarmKgPerDay: 2}.WithDefaults()
	w, _, _ := runFridge(f, 30, 1.0/12, 100, false)
	cop := f.CarnotShare * (4 - 15 + 273.15) / (30 + 12 - (4 - 15))
	inWh := f.UAWPerK*26*24 + 2*waterWhPerKgK*26 + 20*6*60*airWhPerLitreK*26
	assert.InEpsilon(t, inWh, w*24*cop, .01)
}

func TestFridgeStepLengthDoesNotMatter(t *testing.T) {
	f := Fridge{Litres: 50, SetpointC: 4, OpeningsPerDay: 15, WarmKgPerDay: 1, NightSetbackC: 2}
	fine, _, _ := runFridge(f, 30, 1.0/120, 60, false)
	for _, stepH := range []float64{1.0 / 60, 1.0 / 12, .25, .5, 1} {
		got, _, _ := runFridge(f, 30, stepH, 60, false)
		assert.InEpsilon(t, fine, got, .015, "step %g h", stepH)
	}
}

func TestFridgeThatCannotHoldWarms(t *testing.T) {
	f := Fridge{Litres: 60, SetpointC: 4, UAWPerK: 3}
	_, duty, warmest := runFridge(f, 50, 1.0/12, 5, false)
	assert.InDelta(t, 1, duty, 1e-9)
	assert.Greater(t, warmest, 8.0)
	assert.Less(t, warmest, 50.0)
}

func TestFridgeRestsInTheCold(t *testing.T) {
	w, duty, _ := runFridge(Fridge{Litres: 40, SetpointC: 4, StandbyW: .5}, -30, .25, 5, false)
	assert.Zero(t, duty)
	assert.InDelta(t, .5, w, 1e-9)
}

func TestFridgeOptionsActTheRightWay(t *testing.T) {
	base := Fridge{Litres: 50, SetpointC: 4, OpeningsPerDay: 10, WarmKgPerDay: 1}
	energy := func(f Fridge, driving bool) float64 { w, _, _ := runFridge(f, 28, 1.0/12, 30, driving); return w }
	w := energy(base, false)
	with := func(change func(*Fridge)) Fridge { f := base; change(&f); return f }
	assert.Greater(t, energy(with(func(f *Fridge) { f.AmbientOffsetC = 8 }), false), w*1.3, "a hot canopy")
	soak := with(func(f *Fridge) { f.DrivingOffsetC = 5 })
	assert.InEpsilon(t, w, energy(soak, false), 1e-9)
	assert.Greater(t, energy(soak, true), w*1.2, "heat while driving")
	assert.Less(t, energy(with(func(f *Fridge) { f.NightSetbackC = 3 }), false), w*.98, "night set-back")
	assert.Greater(t, energy(with(func(f *Fridge) { f.OpeningsPerDay = 60 }), false), w*1.02, "openings")
	assert.Greater(t, energy(with(func(f *Fridge) { f.WarmKgPerDay = 6 }), false), w*1.2, "warm food")
	assert.Greater(t, energy(with(func(f *Fridge) { f.SetpointC = 1 }), false), w*1.1, "a colder box")

	freezer := Fridge{Litres: 50, SetpointC: -18, WarmKgPerDay: 1}
	assert.Greater(t, energy(freezer, false), w*1.5, "a freezer")
}

func TestFridgeStaysWithinPhysics(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		f := Fridge{
			Litres: rapid.Float64Range(10, 300).Draw(r, "litres"), SetpointC: rapid.Float64Range(-20, 10).Draw(r, "set"),
			OpeningsPerDay: rapid.Float64Range(0, 50).Draw(r, "openings"), WarmKgPerDay: rapid.Float64Range(0, 10).Draw(r, "kg"),
			NightSetbackC: rapid.Float64Range(0, 4).Draw(r, "setback"),
		}
		stepH := rapid.SampledFrom([]float64{1.0 / 60, 1.0 / 12, .25, 1}).Draw(r, "step")
		f.WarmKgPerDay = min(f.WarmKgPerDay, f.Litres/20)
		freezing := 0.0 // food that freezes may warm the box past the air
		if f.SetpointC < 0 {
			freezing = f.WarmKgPerDay * fusionWhPerKg / 3 * stepH / f.WithDefaults().HeatWhPerK
		}
		m := NewFridgeModel(f, stepH)
		st := m.Start(20)
		full := f.WithDefaults().CompressorW
		hour := 0.0
		for range 200 {
			airC := rapid.Float64Range(-30, 50).Draw(r, "air")
			before := st.BoxC
			w, duty := m.Step(&st, airC, hour, false)
			assert.GreaterOrEqual(r, duty, 0.0)
			assert.LessOrEqual(r, duty, 1+1e-9)
			assert.InDelta(r, duty*full, w, 1e-9)
			assert.GreaterOrEqual(r, st.BoxC, min(before, f.SetpointC-1, airC)-1e-9)
			assert.LessOrEqual(r, st.BoxC, max(before, f.SetpointC+1+f.NightSetbackC, airC)+freezing+1e-9)
			if hour += stepH; hour >= 24 {
				hour = 0
			}
		}
	})
}

func TestFridgeErrors(t *testing.T) {
	assert.Empty(t, Fridge{}.Validate(), "all defaults")
	bad := Fridge{Litres: -4, SetpointC: 40, CarnotShare: 2, OpeningsPerDay: -1}
	assert.GreaterOrEqual(t, len(bad.Validate()), 4)
	assert.ErrorContains(t, errors.Join(bad.Validate()...), "setpoint")
}

// A heated room: outside the air may fall as it likes, the fridge uses what it
// uses at the room's temperature; above that the room follows the air.
func TestFridgeInAHeatedRoom(t *testing.T) {
	outside := Fridge{Litres: 50, SetpointC: 5, OpeningsPerDay: 12, WarmKgPerDay: 1}
	room := outside
	room.Sheltered, room.AmbientMinC = true, 18
	cold, _, _ := runFridge(room, -15, .25, 10, false)
	at18, _, _ := runFridge(outside, 18, .25, 10, false)
	assert.InDelta(t, at18, cold, 1e-9)
	warm, _, _ := runFridge(room, 30, .25, 10, true)
	at30, _, _ := runFridge(outside, 30, .25, 10, true)
	assert.Equal(t, at30, warm)
	frozen, _, _ := runFridge(outside, -15, .25, 10, false)
	assert.Zero(t, frozen, "out in the frost it never runs")

	room.AmbientMinC = 60
	assert.ErrorContains(t, errors.Join(room.Validate()...), "coldest air around")
}

// Shut and off, a box drifts to the air around as exp(-UA t/C): Newton's law of
// cooling. 10 Wh/K behind .5 W/K have a time constant of 20 h.
func TestASwitchedOffBoxDriftsToTheAirAround(t *testing.T) {
	for _, stepH := range []float64{.25, 1} {
		m := NewFridgeModel(Fridge{Litres: 30, SetpointC: 5, UAWPerK: .5, HeatWhPerK: 10, AmbientOffsetC: 2, OpeningsPerDay: 50, WarmKgPerDay: 5}, stepH)
		st := m.Start(33)
		for range int(20 / stepH) {
			m.Rest(&st, 33, false)
		}
		assert.InDelta(t, 35+(5-35)*math.Exp(-1), st.BoxC, 1e-9)
		assert.Equal(t, 35.0, m.StartOff(33).BoxC)
		w, duty := m.Step(&st, 33, 12, false)
		assert.Equal(t, 1.0, duty, "it cools at once")
		assert.InDelta(t, 35+.2*30, w, 1e-9, "its compressor's power")
	}
}
