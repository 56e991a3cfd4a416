package sim

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/profiles"
)

func TestAConstantLoadRunsFlatAtTheHandComputedHour(t *testing.T) {
	z := zone(t, "UTC")
	stop := stopAt(0, 0, z, day(2026, 3, 1), 4)
	stop.TempMinC, stop.TempMaxC = 25, 25
	sys := bareSystem(t, 100)
	sys.Battery.MinSoC, sys.Battery.ReconnectSoC = 0.1, 0.2
	r, err := mustStudy(t, &Trip{Stops: []Stop{stop}}, []Load{steady("lamp", 26)}).Typical(sys)
	require.NoError(t, err)
	require.Len(t, r.Flats, 1)
	// By hand: 90 Ah at the mean voltage of the discharge; 26 W at 13.15 V is
	// 1.98 A, so about 45.5 h, from the ledger's own energy: delivered / 26 W.
	hour := r.Flats[0].Start.Sub(r.Slots[0].Start).Hours()
	delivered := r.Total.DCLoadWh
	assert.InDelta(t, delivered/26, hour, 1e-6)
	assert.InDelta(t, 90*13.15/26, hour, 1, "90 Ah at 13.15 V, 26 W")
	assert.InDelta(t, 96*26-delivered, r.Total.UnservedWh, 1e-6)
	assert.InDelta(t, 96-hour, r.FlatH, 1e-6)
}

// common practice, no source: 2,000 W through a 12 V inverter is 170 to 190 A.
func TestTwoKilowattsDrawAbout180A(t *testing.T) {
	z := zone(t, "UTC")
	stop := stopAt(0, 0, z, day(2026, 3, 1), 1)
	stop.TempMinC, stop.TempMaxC = 25, 25
	sys := bareSystem(t, 200)
	sys.Battery.MaxDischargeA = 250
	sys.StartSoC = 0.6 // a camp evening, not fresh off the charger
	inv, err := profiles.NewInverter(2000, 4000, nan, 12)
	require.NoError(t, err)
	sys.Inverter, sys.InverterMode = inv, InverterNeeded
	hob := Load{Name: "hob", Kind: Uses, Supply: AC, Watts: 2000, Duty: 1, TimesH: []float64{12}, Minutes: 15, Essential: true}
	r, err := mustStudy(t, &Trip{Stops: []Stop{stop}}, []Load{hob}).Typical(sys)
	require.NoError(t, err)
	peak := 0.0
	for _, row := range r.Rows {
		peak = math.Max(peak, row.PeakA)
	}
	t.Logf("peak %.1f A", peak)
	assert.Greater(t, peak, 168.0)
	assert.Less(t, peak, 192.0)
	assert.Empty(t, r.Events)
}

// common practice, no source: 30 A + 50 A in tandem give 80 A, and fill a
// 400 Ah battery from 20 % in about 4 h of driving.
func TestTandemChargersAddUp(t *testing.T) {
	z := zone(t, "UTC")
	stop := stopAt(0, 0, z, day(2026, 3, 1), 1)
	stop.TempMinC, stop.TempMaxC = 25, 25
	stop.Drive = Span{8, 6}
	sys := bareSystem(t, 400)
	sys.StartSoC = 0.2
	sys.Chargers = []Charger{
		{Name: "30 A combined", AlternatorA: 30, SolarA: 30, MainsA: 30, TotalA: 30, Efficiency: 0.93},
		{Name: "50 A DC-DC", AlternatorA: 50, Efficiency: 0.93},
	}
	r, err := mustStudy(t, &Trip{Stops: []Stop{stop}}, nil).Typical(sys)
	require.NoError(t, err)
	at := 8*4 + 4
	assert.InDelta(t, 80, r.Rows[at].BatteryA, 0.01)
	full := 0
	for i := range r.Rows {
		if r.Rows[i].SoC >= 0.98 {
			full = i
			break
		}
	}
	require.NotZero(t, full)
	assert.InDelta(t, 4, float64(full+1)/4-8, 0.25)
}

func TestMinutesAndHoursAgree(t *testing.T) {
	z := zone(t, "Europe/Oslo")
	stop := stopAt(60, 8, z, day(2026, 8, 1), 5)
	stop.Drive = Span{9, 2}
	sys := bareSystem(t, 100)
	sys.Chargers = []Charger{{Name: "DC-DC", AlternatorA: 30, Efficiency: 0.9}}
	loads := []Load{steady("base", 20), {Name: "lights", Kind: Window, Watts: 15, Duty: 1, Window: Span{19, 4}, Essential: true}}
	var end [2]float64
	for i, step := range []time.Duration{5 * time.Minute, time.Hour} {
		opt := DefaultOptions()
		opt.Step = step
		s, err := NewStudy(&Trip{Stops: []Stop{stop}}, loads, opt)
		require.NoError(t, err)
		r, err := s.Typical(sys)
		require.NoError(t, err)
		end[i] = r.EndSoC
	}
	assert.InDelta(t, end[0], end[1], 0.005)
}
