package sim

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"tripsim/internal/profiles"
	"tripsim/internal/solar"
)

var nan = math.NaN()

func zone(t testing.TB, name string) *time.Location {
	t.Helper()
	z, err := time.LoadLocation(name)
	require.NoError(t, err)
	return z
}

func day(y, m, d int) time.Time { return time.Date(y, time.Month(m), d, 0, 0, 0, 0, time.UTC) }

// stopAt is a parked stop of so many days with the climate's weather.
func stopAt(lat, lon float64, z *time.Location, date time.Time, days int) Stop {
	return Stop{
		Date: date, Days: days, Place: "Test", Position: solar.Place{LatDeg: lat, LonDeg: lon, ElevationM: 100},
		Zone: z, SunKWhM2: nan, TempMinC: nan, TempMaxC: nan,
	}
}

func lithium(t testing.TB, ah float64) profiles.BatterySpec {
	t.Helper()
	c, ok := profiles.ChemistryByID("lifepo4")
	require.True(t, ok)
	return profiles.NewBatterySpec(c, ah, 1, 12)
}

// bareSystem is a battery without any charger or inverter.
func bareSystem(t testing.TB, ah float64) *System {
	return &System{Name: "bare", Battery: lithium(t, ah), StartSoC: 1, AlternatorSpareA: nan, Price: nan}
}

func steady(name string, watts float64) Load {
	return Load{Name: name, Kind: Steady, Watts: watts, Duty: 1, Essential: true}
}

func mustStudy(t testing.TB, trip *Trip, loads []Load) *Study {
	t.Helper()
	s, err := NewStudy(trip, loads, DefaultOptions())
	require.NoError(t, err)
	return s
}

// stepped is the study of one stop with steps of so many minutes.
func stepped(t testing.TB, stop Stop, loads []Load, minutes int) *Study {
	t.Helper()
	opt := DefaultOptions()
	opt.Step = time.Duration(minutes) * time.Minute
	s, err := NewStudy(&Trip{Stops: []Stop{stop}}, loads, opt)
	require.NoError(t, err)
	return s
}

// fridge40 is a small compressor fridge at 5 C.
func fridge40() *profiles.Fridge {
	return &profiles.Fridge{Litres: 40, SetpointC: 5, OpeningsPerDay: 15, WarmKgPerDay: 1}
}
