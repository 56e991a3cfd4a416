package sim

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"tripsim/internal/profiles"
)

// plainTrip draws a trip in mild weather: no cold that refuses charge, so that
// the properties below hold without exceptions.
func plainTrip(rt *rapid.T) *Trip {
	s := Stop{
		Date: day(2026, rapid.IntRange(1, 12).Draw(rt, "month"), 3), Days: rapid.IntRange(2, 5).Draw(rt, "days"), Place: "x", Zone: time.UTC,
		SunKWhM2: nan, TempMinC: 15, TempMaxC: 25,
	}
	s.Position.LatDeg = rapid.Float64Range(-50, 50).Draw(rt, "lat")
	if rapid.Bool().Draw(rt, "drives") {
		s.Drive = Span{9, rapid.Float64Range(0.5, 4).Draw(rt, "for")}
	}
	return &Trip{Stops: []Stop{s}}
}

func plainSystem(rt *rapid.T, ah float64) *System {
	c, _ := profiles.ChemistryByID("lifepo4")
	b := profiles.NewBatterySpec(c, ah, 1, 12)
	b.MaxChargeA, b.MaxDischargeA = 200, 400 // not what is varied here
	return &System{
		Name: "s", Battery: b, StartSoC: 1, AlternatorSpareA: nan, Price: nan,
		Chargers: []Charger{{Name: "c", AlternatorA: 20, SolarA: 40, Efficiency: .93}},
		Panels: []Panel{{
			Name: "p", RatedW: rapid.Float64Range(10, 200).Draw(rt, "panel"), AzimuthDeg: nan, Charger: 0,
			TempCoeffPerK: -.0035, NOCTC: 45,
		}},
	}
}

// unserved is what a draw leaves unserved, Wh, and in how many flat spells.
func unserved(t require.TestingT, trip *Trip, loads []Load, sys *System) (wh float64, spells int) {
	s, err := NewStudy(trip, loads, DefaultOptions())
	require.NoError(t, err)
	r, err := s.RunDraw(sys, 7)
	require.NoError(t, err)
	return r.Total.UnservedWh, len(r.Flats)
}

// More battery, panel or charger, or less load, never raises the unserved
// energy under the same weather, for a lithium battery that starts full in
// mild weather. The slack is one step's energy of the load per spell: the
// disconnection and the reconnection fall on other steps. (A battery that
// reconnects later, at a share of a larger capacity, may keep its loads off
// longer: so the reconnection is taken right above the cut-off here.)
func TestMoreIsNeverWorse(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		trip := plainTrip(rt)
		loads := []Load{steady("base", rapid.Float64Range(5, 60).Draw(rt, "watts"))}
		sys := plainSystem(rt, rapid.Float64Range(20, 120).Draw(rt, "ah"))
		sys.Battery.MinSoC, sys.Battery.ReconnectSoC = .05, .0500001
		before, spells := unserved(rt, trip, loads, sys)
		k := rapid.Float64Range(1.05, 3).Draw(rt, "k")
		step := loads[0].Watts * DefaultOptions().Step.Hours()
		for _, c := range []struct {
			name  string
			grow  func(*System)
			loads []Load
		}{
			{"battery", func(s *System) { s.Battery.CapacityAh *= k }, loads},
			{"panel", func(s *System) { s.Panels[0].RatedW *= k }, loads},
			{"charger", func(s *System) { s.Chargers[0].AlternatorA *= k }, loads},
			{"load", func(*System) {}, []Load{steady("base", loads[0].Watts/k)}},
		} {
			more := *sys
			more.Panels = append([]Panel(nil), sys.Panels...)
			more.Chargers = append([]Charger(nil), sys.Chargers...)
			c.grow(&more)
			after, others := unserved(rt, trip, c.loads, &more)
			assert.LessOrEqual(rt, after, before+1e-6+step*float64(max(spells, others)), "more %s by %.2f", c.name, k)
		}
	})
}

// Scaling capacity, loads, chargers and panels by k scales every energy by k
// within 1 % on trips that do not run flat (whether a flat battery reconnects on
// a given day may hang on a hair): the cells' resistance falls as 1/k, that of
// the leads does not.
func TestEverythingScales(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		trip := plainTrip(rt)
		w := rapid.Float64Range(5, 40).Draw(rt, "watts")
		k := float64(rapid.IntRange(2, 6).Draw(rt, "k"))
		sys := plainSystem(rt, 100)
		big := *sys
		big.Battery.Count = int(k) // so many in parallel: capacity up, resistance down
		big.Battery.MaxChargeA, big.Battery.MaxDischargeA = 200*k, 400*k
		big.Chargers = []Charger{{Name: "c", AlternatorA: 20 * k, SolarA: 40 * k, Efficiency: .93}}
		big.Panels = []Panel{sys.Panels[0]}
		big.Panels[0].RatedW *= k
		run := func(s *System, watts float64) *Result {
			st, err := NewStudy(trip, []Load{steady("base", watts)}, DefaultOptions())
			require.NoError(rt, err)
			r, err := st.RunDraw(s, 3)
			require.NoError(rt, err)
			return r
		}
		a, b := run(sys, w), run(&big, k*w)
		if a.FlatH > 0 || b.FlatH > 0 {
			return
		}
		assert.InEpsilon(rt, 1+a.Total.InWh(), 1+b.Total.InWh()/k, 1e-2)
		assert.InEpsilon(rt, 1+a.Total.ServedWh(), 1+b.Total.ServedWh()/k, 1e-2)
		assert.InDelta(rt, a.EndSoC, b.EndSoC, 5e-3)
	})
}

// The same energy store at 12 V and at 24 V carries the same trip: half the
// ampere-hours, half the amperes. (The heat in the leads differs a little.)
func TestTwelveAndTwentyFourVoltsAgree(t *testing.T) {
	stop := stopAt(30, 0, zone(t, "UTC"), day(2026, 4, 1), 5)
	stop.Drive = Span{9, 1.5}
	loads := []Load{steady("base", 40)}
	sys := bareSystem(t, 200)
	sys.Chargers = []Charger{{Name: "c", AlternatorA: 40, Efficiency: .93}}
	half := *sys
	half.Battery.NominalV, half.Battery.CapacityAh = 24, 100
	half.Chargers = []Charger{{Name: "c", AlternatorA: 20, Efficiency: .93}}
	s := mustStudy(t, &Trip{Stops: []Stop{stop}}, loads)
	a, err := s.Typical(sys)
	require.NoError(t, err)
	b, err := s.Typical(&half)
	require.NoError(t, err)
	assert.InDelta(t, a.EndSoC, b.EndSoC, .01)
	assert.InEpsilon(t, a.Total.AlternatorWh, b.Total.AlternatorWh, .02)
}

// The same place mirrored to the other hemisphere half a year later has the
// same sun within the orbit's eccentricity (6.9 % between the solstices); with
// the same sun on the level, a panel that leans to the equator gives the same.
func TestMirroredHemispheres(t *testing.T) {
	run := func(lat, azimuth float64, date time.Time) (clear, panelWh float64) {
		stop := stopAt(lat, 0, zone(t, "UTC"), date, 3)
		stop.TempMinC, stop.TempMaxC, stop.SunKWhM2 = 15, 25, 3.5
		sys := bareSystem(t, 100)
		sys.StartSoC = .2
		sys.Chargers = []Charger{{Name: "regulator", SolarA: 100, Efficiency: 1}}
		sys.Panels = []Panel{{Name: "leaning", RatedW: 100, Mount: Roof, TiltDeg: 30, AzimuthDeg: azimuth, Charger: 0, TempCoeffPerK: -.0035, NOCTC: 45}}
		s := mustStudy(t, &Trip{Stops: []Stop{stop}}, nil)
		for _, iv := range s.intervals {
			clear += iv.ClearGHIWm2
		}
		r, err := s.Typical(sys)
		require.NoError(t, err)
		checkResult(t, r)
		return clear, r.Total.SolarWh + r.Total.SpilledWh
	}
	for _, lat := range []float64{10, 35, 52} {
		north, _ := run(lat, 180, day(2026, 6, 20))
		south, _ := run(-lat, 0, day(2026, 12, 20))
		assert.InEpsilon(t, south, north, .075, "latitude %g", lat)
		assert.Less(t, north, south, "the earth is nearer the sun in January")
		_, northWh := run(lat, 180, day(2026, 3, 19))
		_, southWh := run(-lat, 0, day(2026, 9, 21))
		assert.InEpsilon(t, southWh, northWh, .01, "latitude %g", lat)
		_, awayWh := run(-lat, 180, day(2026, 9, 21))
		assert.Less(t, awayWh, .96*northWh, "one that leans to the pole gives less, latitude %g", lat)
	}
}

// Steps of 5 and of 60 minutes on random trips: the state of charge at the end
// within 3 % of capacity while the battery never runs flat; panel energy within
// 2 %; unserved energy within an hour and a half of the load per flat spell, for
// a flat battery reconnects at the start of a step. (It reconnects right above
// the cut-off here: whether it climbs higher on a given day may hang on a hair.)
func TestTheStepHardlyMatters(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		trip := plainTrip(rt)
		sys := plainSystem(rt, rapid.Float64Range(40, 200).Draw(rt, "ah"))
		sys.Battery.MinSoC, sys.Battery.ReconnectSoC = .05, .0500001
		loads := []Load{steady("base", rapid.Float64Range(5, 40).Draw(rt, "watts"))}
		var r [2]*Result
		for i, step := range []time.Duration{5 * time.Minute, time.Hour} {
			opt := DefaultOptions()
			opt.Step = step
			s, err := NewStudy(trip, loads, opt)
			require.NoError(rt, err)
			r[i], err = s.Typical(sys)
			require.NoError(rt, err)
		}
		if r[0].FlatH == 0 && r[1].FlatH == 0 {
			assert.InDelta(rt, r[0].EndSoC, r[1].EndSoC, .03)
		}
		spells := float64(max(len(r[0].Flats), len(r[1].Flats)))
		assert.InDelta(rt, r[0].Total.UnservedWh, r[1].Total.UnservedWh, 1e-6+1.5*loads[0].Watts*spells)
		assert.InEpsilon(rt, r[0].Total.SolarWh+r[0].Total.SpilledWh+1, r[1].Total.SolarWh+r[1].Total.SpilledWh+1, .02)
	})
}

func TestLimitsDoNotBreak(t *testing.T) {
	for _, c := range []struct {
		name       string
		tmin, tmax float64
		change     func(*System)
		loads      []Load
	}{
		{"arctic", -35, -30, func(*System) {}, []Load{steady("base", 20)}},
		{"furnace", 45, 55, func(*System) {}, []Load{steady("base", 20)}},
		{"no load", 15, 25, func(*System) {}, nil},
		{"huge bank", 15, 25, func(s *System) { s.Battery.CapacityAh, s.Battery.NominalV = 2000, 48 }, []Load{steady("base", 500)}},
		{"charger larger than the battery takes", 15, 25, func(s *System) { s.Chargers[0].AlternatorA = 2000 }, []Load{steady("base", 20)}},
		{"load beyond any battery", 15, 25, func(s *System) { s.Battery.CapacityAh = 5 }, []Load{steady("base", 50_000)}},
	} {
		t.Run(c.name, func(t *testing.T) {
			stop := stopAt(40, 0, zone(t, "UTC"), day(2026, 3, 1), 3)
			stop.TempMinC, stop.TempMaxC, stop.Drive = c.tmin, c.tmax, Span{8, 4}
			sys := bareSystem(t, 100)
			sys.StartSoC = .5
			sys.Chargers = []Charger{{Name: "c", AlternatorA: 40, SolarA: 20, Efficiency: .9}}
			sys.Panels = []Panel{{Name: "p", RatedW: 200, AzimuthDeg: nan, TempCoeffPerK: -.0035, NOCTC: 45}}
			c.change(sys)
			r, err := mustStudy(t, &Trip{Stops: []Stop{stop}}, c.loads).Typical(sys)
			require.NoError(t, err)
			checkResult(t, r)
			for _, row := range r.Rows {
				assert.LessOrEqual(t, row.BatteryA, r.maxChargeA(t)*(1+1e-9))
			}
			if c.name == "arctic" {
				assert.Zero(t, r.Total.ChargedWh)
				assert.NotEmpty(t, r.Events)
			}
		})
	}
}

// maxChargeA is the bank's own limit.
func (r *Result) maxChargeA(t *testing.T) float64 {
	p, err := profiles.NewPack(r.System.Battery, r.Step.Hours())
	require.NoError(t, err)
	return math.Max(p.MaxChargeA, 0)
}
