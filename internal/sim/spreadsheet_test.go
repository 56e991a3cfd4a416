package sim

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/profiles"
)

// A second, deliberately simple reckoning of a trip, as one would do it in a
// spreadsheet: hour by hour, in ampere-hours at one voltage, the sun a half
// sine between sunrise and sunset. It uses nothing of this package. It must
// agree with the simulation on simple trips within the bounds stated below.
type sheet struct {
	ah, minAh, volts    float64
	chargerA, solarA    float64
	panelW, sunKWhM2    float64
	driveFrom, driveTo  int
	mainsFrom, mainsTo  int
	mainsA              float64
	loadW               func(hour int) float64
	dayLengthH, noonH   float64
	panelShare          float64 // dirt, heat and angle losses, all in one
	efficiency, startAh float64
	lowAh, endAh, flatH float64
}

func (s *sheet) run(days int) {
	q := s.startAh
	s.lowAh = q
	for h := range 24 * days {
		hour := h % 24
		net := -s.loadW(hour) / s.volts
		// Half sine whose day's area is the day's irradiation.
		rise, set := s.noonH-s.dayLengthH/2, s.noonH+s.dayLengthH/2
		if mid := float64(hour) + 0.5; mid > rise && mid < set {
			wm2 := 1000 * s.sunKWhM2 * math.Pi / (2 * s.dayLengthH) * math.Sin(math.Pi*(mid-rise)/s.dayLengthH)
			a := math.Min(s.solarA, s.panelW*wm2/1000*s.panelShare*s.efficiency/s.volts)
			net += a
		}
		if hour >= s.driveFrom && hour < s.driveTo {
			net += s.chargerA
		}
		if hour >= s.mainsFrom && hour < s.mainsTo {
			net += s.mainsA
		}
		q = math.Min(s.ah, q+net)
		if q < s.minAh {
			s.flatH += (s.minAh - q) / -net
			q = s.minAh
		}
		s.lowAh = math.Min(s.lowAh, q)
	}
	s.endAh = q
}

// common fills the parts that all cases share: the equator at an equinox, so
// that days have 12 h and noon is at 12:00, and 25 C all day.
func spreadsheetTrip(t *testing.T, days int) Stop {
	stop := stopAt(0, 0, zone(t, "UTC"), day(2026, 3, 20), days)
	stop.TempMinC, stop.TempMaxC, stop.SunKWhM2 = 25, 25, 5
	return stop
}

func TestASpreadsheetAgreesOnSimpleTrips(t *testing.T) {
	evening := func(h int) float64 {
		if h >= 18 && h < 23 {
			return 60
		}
		return 12
	}
	evenings := []Load{steady("base", 12), {Name: "evening", Kind: Window, Watts: 48, Duty: 1, Window: Span{18, 5}, Essential: true}}
	cases := []struct {
		name   string
		days   int
		sheet  sheet
		loads  []Load
		change func(*Stop, *System)
	}{
		{"only a load", 3, sheet{loadW: func(int) float64 { return 20 }}, []Load{steady("base", 20)}, nil},
		{
			"driving", 6,
			sheet{loadW: evening, chargerA: 30, driveFrom: 9, driveTo: 11},
			evenings,
			func(st *Stop, sys *System) {
				st.Drive = Span{9, 2}
				sys.Chargers = []Charger{{Name: "DC-DC", AlternatorA: 30, Efficiency: .95}}
			},
		},
		{
			"sun", 6,
			sheet{loadW: evening, solarA: 20, panelW: 150},
			evenings,
			func(_ *Stop, sys *System) {
				sys.Chargers = []Charger{{Name: "regulator", SolarA: 20, Efficiency: .95}}
				sys.Panels = []Panel{{Name: "flat", RatedW: 150, Mount: Roof, AzimuthDeg: nan, Soiling: .03, TempCoeffPerK: -.0035, NOCTC: 45}}
			},
		},
		{
			"mains by day, flat by night", 4,
			sheet{loadW: func(int) float64 { return 90 }, mainsA: 20, mainsFrom: 8, mainsTo: 14},
			[]Load{steady("big", 90)},
			func(st *Stop, sys *System) {
				st.Mains = Span{8, 6}
				sys.Chargers = []Charger{{Name: "mains", MainsA: 20, Efficiency: .92}}
			},
		},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			stop := spreadsheetTrip(t, c.days)
			sys := bareSystem(t, 100)
			sys.Battery.MinSoC, sys.Battery.ReconnectSoC, sys.StartSoC = .1, .101, .9
			if c.change != nil {
				c.change(&stop, sys)
			}
			r, err := mustStudy(t, &Trip{Stops: []Stop{stop}}, c.loads).Typical(sys)
			require.NoError(t, err)
			s := c.sheet
			s.ah, s.minAh, s.startAh, s.volts = 100, 10, 90, 13.15
			s.dayLengthH, s.noonH, s.efficiency, s.sunKWhM2 = 12.1, 12.12, .95, 5
			s.panelShare = .97 * .96 * .925 // dirt, glass at low sun, cell heat of about 21 K above 25 C
			s.run(c.days)
			t.Logf("low %.3f against %.3f, end %.3f against %.3f, flat %.1f h against %.1f h", r.LowSoC, s.lowAh/100, r.EndSoC, s.endAh/100, r.FlatH, s.flatH)
			// Bound: 3 % of the capacity, 2 % of the trip's hours (the sheet
			// knows no voltage, resistance, self-discharge or taper).
			assert.InDelta(t, s.lowAh/100, r.LowSoC, .03)
			assert.InDelta(t, s.endAh/100, r.EndSoC, .03)
			assert.InDelta(t, s.flatH, r.FlatH, .02*24*float64(c.days))
		})
	}
}

// By hand: 2 x 50 W for 3 h each day for 5 days from 100 Ah at 13.2 V without
// any charger takes 5 x 300 Wh / 13.2 V = 113.6 Ah, so it runs flat on day 5.
func TestTheFlatDayByHand(t *testing.T) {
	stop := spreadsheetTrip(t, 5)
	sys := bareSystem(t, 100)
	sys.Battery.MinSoC, sys.Battery.ReconnectSoC = 0, .05
	lamp := Load{Name: "lamps", Kind: Window, Watts: 100, Duty: 1, Window: Span{19, 3}, Essential: true}
	r, err := mustStudy(t, &Trip{Stops: []Stop{stop}}, []Load{lamp}).Typical(sys)
	require.NoError(t, err)
	require.Equal(t, 1, r.FlatDays)
	assert.True(t, r.Days[4].Flat())
	assert.InDelta(t, 300, r.Days[0].DCLoadWh, 1e-6)
}

func TestTheInverterLossIsItsFormulaAtTheDeliveredPower(t *testing.T) {
	stop := spreadsheetTrip(t, 1)
	sys := bareSystem(t, 200)
	inv, err := profiles.NewInverter(2000, 4000, 10, 12)
	require.NoError(t, err)
	sys.Inverter, sys.InverterMode = inv, InverterAlways
	kettle := Load{Name: "kettle", Kind: Uses, Supply: AC, Watts: 1000, Duty: 1, TimesH: []float64{7}, Minutes: 6, Essential: true}
	r, err := mustStudy(t, &Trip{Stops: []Stop{stop}}, []Load{kettle}).Typical(sys)
	require.NoError(t, err)
	want := (inv.InputW(1000)-1000)*0.1 + inv.InputW(0)*23.9
	assert.InDelta(t, want, r.Total.InverterLossWh, 1e-6)
	assert.InDelta(t, 100, r.Total.ACLoadWh, 1e-9)
}
