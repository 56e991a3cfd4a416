package weather

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/solar"
)

var nan = math.NaN()

// parked is a plan for days at one place, local days by mean solar time.
func parked(t testing.TB, place solar.Place, start string, days int, step time.Duration) *Plan {
	t.Helper()
	p, err := NewPlan(parkedSpec(t, place, start, days, step))
	require.NoError(t, err)
	return p
}

func parkedSpec(t testing.TB, place solar.Place, start string, days int, step time.Duration) (Grid, []DaySpec) {
	t.Helper()
	date, err := time.Parse(time.DateOnly, start)
	require.NoError(t, err)
	g := Grid{StartUTC: date.Add(-time.Duration(math.Round(place.LonDeg/15)) * time.Hour), Step: step}
	var specs []DaySpec
	perDay := int(24 * time.Hour / step)
	for d := range days {
		specs = append(specs, DaySpec{Place: place, Date: date.AddDate(0, 0, d), GHIKWhM2: nan, TempMinC: nan, TempMaxC: nan})
		for range perDay {
			g.Places, g.Day = append(g.Places, place), append(g.Day, int32(d))
		}
	}
	return g, specs
}

var (
	desert = solar.Place{LatDeg: 30.92, LonDeg: -6.91, ElevationM: 1160}
	oslo   = solar.Place{LatDeg: 59.9, LonDeg: 10.7, ElevationM: 20}
)

// dayKWhM2 adds up a day's irradiation.
func dayKWhM2(p *Plan, values []float64, day int) (kWh float64) {
	for i, v := range values {
		if p.grid.Day[i] == int32(day) {
			kWh += v * p.grid.Step.Hours() / 1000
		}
	}
	return kWh
}

func checkSeries(t testing.TB, p *Plan, s *Series) {
	t.Helper()
	for i := range s.GHIWm2 {
		g, d, c := s.GHIWm2[i], s.DHIWm2[i], s.AirTempC[i]
		if !(g >= 0 && d >= 0 && d <= g && c > -100 && c < 75) {
			t.Fatalf("step %d: ghi %g dhi %g temp %g", i, g, d, c)
		}
		if i0 := p.intervals[i].I0HorizWm2; g > 0.96*i0 {
			t.Fatalf("step %d: ghi %g above the light outside the air %g", i, g, i0)
		}
	}
	for i, k := range s.Clearness {
		if !(k >= 0 && k <= 0.9) {
			t.Fatalf("day %d: clearness %g", i, k)
		}
	}
}

func TestEveryCornerOfTheEarthGivesNumbersInEveryMonth(t *testing.T) {
	for _, lat := range []float64{-90, -70, -54, -35, -10, 0, 25, 52, 66.6, 70, 84, 90} {
		for _, lon := range []float64{-180, -78, 0, 90, 180} {
			for _, up := range []float64{nan, 0, 4000} {
				for month := 1; month <= 12; month += 1 {
					start := time.Date(2027, time.Month(month), 20, 0, 0, 0, 0, time.UTC).Format(time.DateOnly)
					p := parked(t, solar.Place{LatDeg: lat, LonDeg: lon, ElevationM: up}, start, 2, time.Hour)
					s := p.NewSeries()
					p.Typical(s)
					checkSeries(t, p, s)
					for k := range uint64(3) {
						p.Draw(1, k, s)
						checkSeries(t, p, s)
					}
				}
			}
		}
	}
}

func TestDaysAddUpToTheirClearnessExactly(t *testing.T) {
	for _, step := range []time.Duration{5 * time.Minute, 15 * time.Minute, time.Hour} {
		p := parked(t, oslo, "2027-04-03", 5, step)
		s := p.NewSeries()
		check := func() {
			for d := range p.days {
				outside := dayKWhM2(p, i0Of(p), d)
				assert.InEpsilon(t, s.Clearness[d], dayKWhM2(p, s.GHIWm2, d)/outside, 1e-12)
			}
		}
		p.Typical(s)
		check()
		for k := range uint64(50) {
			p.Draw(3, k, s)
			check()
		}
	}
}

func i0Of(p *Plan) []float64 {
	out := make([]float64, len(p.intervals))
	for i, iv := range p.intervals {
		out[i] = iv.I0HorizWm2
	}
	return out
}

func BenchmarkNewPlan14Days(b *testing.B) {
	g, days := parkedSpec(b, desert, "2027-03-10", 14, 15*time.Minute)
	climateCells()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := NewPlan(g, days); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkDraw14Days(b *testing.B) {
	p := parked(b, desert, "2027-03-10", 14, 15*time.Minute)
	s := p.NewSeries()
	b.ReportAllocs()
	k := uint64(0)
	for b.Loop() {
		p.Draw(1, k, s)
		k++
	}
}
