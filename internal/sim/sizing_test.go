package sim

import (
	"context"
	"math"
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/profiles"
)

// parkedStudy is four days at 25 C with a steady 26 W and nothing that charges.
func parkedStudy(t testing.TB) *Study {
	stop := stopAt(0, 0, zone(t, "UTC"), day(2026, 3, 1), 4)
	stop.TempMinC, stop.TempMaxC = 25, 25
	return mustStudy(t, &Trip{Stops: []Stop{stop}}, []Load{steady("lamp", 26)})
}

// By hand: 96 h at 26 W are 2,496 Wh; a battery gives its capacity less the
// 10 % below the cut-off and the charge it loses by itself (2.5 % a month at
// 20 C, sqrt 2 times that at 25 C), at its mean rest voltage over that range
// less I R.
func handComputedAh(t testing.TB) float64 {
	ah := 210.0
	for range 20 {
		p, err := profiles.NewPack(lithium(t, ah), 0.25)
		require.NoError(t, err)
		volts := 0.0
		for i := range 900 {
			volts += p.OCV(0.1+(float64(i)+0.5)/1000) / 900
		}
		amps := 26 / volts
		self := 0.025 * math.Sqrt2 * (96.0 / 730) * 0.55 // at the mean state of charge
		ah = 96 * 26 / (volts - amps*p.ROhm) / (0.9 - self)
	}
	return ah
}

func TestTheSmallestBatteryIsTheHandComputedOne(t *testing.T) {
	s := parkedStudy(t)
	got, err := s.SizeExactly(context.Background(), bareSystem(t, 100), BatterySize, 2000, 0.05, Goal{FlatRisk: 0.5}, 200, nil)
	require.NoError(t, err)
	want := handComputedAh(t)
	t.Logf("search %.2f Ah, by hand %.2f Ah", got, want)
	assert.InEpsilon(t, want, got, 0.003)

	z, err := s.SizeFor(context.Background(), bareSystem(t, 100), BatterySize,
		Sizes([]float64{100, got + 4, 300, got - 4}), Goal{FlatRisk: 0.05}, 200, nil)
	require.NoError(t, err)
	assert.Equal(t, 2, z.Best, "4 Ah less fails, 4 Ah more holds")
	assert.True(t, z.Certain, "only the temperature varies")
	assert.Equal(t, 1.0, z.Points[1].Flat.Share)
	assert.Zero(t, z.Points[2].Flat.Share)
	// 100 Ah serves 87.8 of 210.9 parts; the rest of the 2,496 Wh is unserved.
	assert.InDelta(t, 2496*(1-100/want), z.Points[0].UnservedWh, 8)
	assert.Zero(t, z.Points[3].UnservedWh)
}

func TestAWantedReserveTakesALargerBattery(t *testing.T) {
	s := parkedStudy(t)
	ctx := context.Background()
	plain, err := s.SizeExactly(ctx, bareSystem(t, 100), BatterySize, 2000, 0.05, Goal{FlatRisk: 0.05}, 1, nil)
	require.NoError(t, err)
	kept, err := s.SizeExactly(ctx, bareSystem(t, 100), BatterySize, 2000, 0.05, Goal{FlatRisk: 0.05, Reserve: 0.2}, 1, nil)
	require.NoError(t, err)
	// 0.9 of the capacity is used without a reserve, 0.7 with one of 0.2.
	assert.InEpsilon(t, plain*0.9/0.7, kept, 0.01)
}

func TestNothingHoldsWithoutAnyEnergy(t *testing.T) {
	s := parkedStudy(t)
	sys := bareSystem(t, 100)
	sys.StartSoC = 0
	got, err := s.SizeExactly(context.Background(), sys, BatterySize, 2000, 1, Goal{FlatRisk: 0.05}, 2, nil)
	require.NoError(t, err)
	assert.True(t, math.IsNaN(got))
	z, err := s.SizeFor(context.Background(), sys, BatterySize, Sizes([]float64{100, 200}), Goal{FlatRisk: 0.05}, 100, nil)
	require.NoError(t, err)
	assert.Equal(t, -1, z.Best)
	assert.True(t, z.Certain)
}

// 26 W all day from a battery that cannot hold a day: by night it needs 26 W
// times the dark hours, by day the charger has to make good for it. With 12 h of
// driving a day and a small battery the least charger current is 24 h of load
// over 12 h of charging: 2 x 26 W / 13.3 V = 3.9 A and the battery's losses.
func TestTheSmallestChargerCarriesTheMeanLoad(t *testing.T) {
	stop := stopAt(0, 0, zone(t, "UTC"), day(2026, 3, 1), 30)
	stop.TempMinC, stop.TempMaxC = 25, 25
	stop.Drive = Span{6, 12}
	s := mustStudy(t, &Trip{Stops: []Stop{stop}}, []Load{steady("lamp", 26)})
	sys := bareSystem(t, 60)
	sys.Chargers = []Charger{{Name: "DC-DC", AlternatorA: 20, Efficiency: 1}}
	got, err := s.SizeExactly(context.Background(), sys, ChargerSize, 60, 0.02, Goal{}, 1, nil)
	require.NoError(t, err)
	assert.InEpsilon(t, 2*26/13.3, got, 0.04)
	assert.Equal(t, 20.0, sys.Chargers[0].AlternatorA, "the system asked about is left as it is")
}

func TestAPanelSearchScalesTheTraces(t *testing.T) {
	trip, loads, sys := benchTrip(t)
	s := mustStudy(t, trip, loads)
	sizes := []float64{0, 75, 150, 300}
	z, err := s.SizeFor(context.Background(), sys, PanelSize, Sizes(sizes), Goal{FlatRisk: 0.05}, 40, nil)
	require.NoError(t, err)
	for i, w := range sizes {
		risks, err := s.Ensemble(context.Background(), []*System{WithPanelW(sys, w)}, 40, nil)
		require.NoError(t, err)
		assert.InDelta(t, risks[0].Unserved.Mean, z.Points[i].UnservedWh, 0.01, "%g W", w)
		assert.Equal(t, risks[0].FlatDraws, int(math.Round(z.Points[i].Flat.Share*40)), "%g W", w)
		assert.InDelta(t, risks[0].Reserve.Mean, z.Points[i].Reserve, 1e-5)
	}
}

// hardTrip is benchTrip made to fail in part of the draws.
func hardTrip(t testing.TB) (*Study, *System) {
	trip, loads, sys := benchTrip(t)
	for i := range trip.Stops {
		if i > 2 {
			trip.Stops[i].Drive = Span{}
		}
		trip.Stops[i].Mains = Span{}
	}
	return mustStudy(t, trip, loads), WithPanelW(sys, 100)
}

func TestAMapAgreesWithTheEnsembleAndFallsWithSize(t *testing.T) {
	s, sys := hardTrip(t)
	ah, amps := []float64{60, 130, 160}, []float64{5, 20, 60}
	m, err := s.SizeMap(context.Background(), sys, ChargerSize, ah, amps, Goal{FlatRisk: 0.05}, Prices{}, 60, nil)
	require.NoError(t, err)
	for r := range ah {
		for c := range amps {
			risks, err := s.Ensemble(context.Background(), []*System{WithChargerA(WithBank(sys, ah[r], 1), 0, amps[c])}, 60, nil)
			require.NoError(t, err)
			assert.Equal(t, risks[0].Flat, m.Flat[r][c])
			assert.GreaterOrEqual(t, m.Failed[r][c].Share, m.Flat[r][c].Share)
			if r > 0 {
				assert.LessOrEqual(t, m.Failed[r][c].Share, m.Failed[r-1][c].Share)
			}
			if c > 0 {
				assert.LessOrEqual(t, m.Failed[r][c].Share, m.Failed[r][c-1].Share)
			}
		}
	}
	assert.Greater(t, m.Failed[0][0].Share, m.Failed[2][2].Share)
	assert.Equal(t, 1.0, m.Failed[0][2].Share, "60 Ah cannot give the 110 A of the coffee machine")
	assert.Less(t, m.Flat[0][2].Share, 1.0)
	assert.Nil(t, m.Cheapest, "no prices")
}

func TestTheCheapestPointIsTheLeastPriceThatHolds(t *testing.T) {
	s, sys := hardTrip(t)
	sys.Price = 1000
	prices := Prices{PerAh: 5, PerA: 10, PerW: 1}
	m, err := s.SizeMap(context.Background(), sys, PanelSize, []float64{100, 150, 200, 300}, []float64{0, 100, 200, 400}, Goal{FlatRisk: 0.05}, prices, 60, nil)
	require.NoError(t, err)
	require.NotNil(t, m.Cheapest)
	for r, a := range m.Ah {
		for c, w := range m.Sizes {
			assert.InDelta(t, 1000+5*(a-200)+(w-100), m.Price[r][c], 1e-9)
			if m.Failed[r][c].Share <= 0.05 {
				assert.GreaterOrEqual(t, m.Price[r][c], m.Cheapest.Price)
			}
		}
	}
	assert.LessOrEqual(t, m.Failed[m.Cheapest.Battery][m.Cheapest.Across].Share, 0.05)
}

func TestSizingIsTheSameOnAnyNumberOfCores(t *testing.T) {
	s, sys := hardTrip(t)
	var got [2]*Sizing
	var maps [2]*SizeMap
	for i, cores := range []int{1, 2} {
		was := runtime.GOMAXPROCS(cores)
		z, err := s.SizeFor(context.Background(), sys, BatterySize, BankSizes(sys), Goal{FlatRisk: 0.05, Reserve: 0.1}, 75, nil)
		require.NoError(t, err)
		m, err := s.SizeMap(context.Background(), sys, PanelSize, []float64{80, 120}, []float64{0, 50, 200}, Goal{FlatRisk: 0.05}, Prices{}, 75, nil)
		require.NoError(t, err)
		runtime.GOMAXPROCS(was)
		for j := range z.Points {
			z.Points[j].System, z.Points[j].Price = nil, 0
		}
		z.Exact, m.Price = 0, nil
		got[i], maps[i] = z, m
	}
	assert.Equal(t, got[0], got[1])
	assert.Equal(t, maps[0], maps[1])
}

func TestASearchStopsWhenAsked(t *testing.T) {
	s, sys := hardTrip(t)
	ctx, cancel := context.WithCancel(context.Background())
	calls := 0
	_, err := s.SizeFor(ctx, sys, BatterySize, BankSizes(sys), Goal{}, 100000, func(int, int) { calls++; cancel() })
	assert.ErrorIs(t, err, context.Canceled)
	assert.Less(t, calls, 100)
}

func TestPricesComeFromSystemsThatDifferInOneThing(t *testing.T) {
	priced := func(ah, amps, price float64) *System {
		s := bareSystem(t, ah)
		s.Chargers = []Charger{{Name: "DC-DC", AlternatorA: amps, Efficiency: 0.9}}
		s.Price = price
		return s
	}
	p := PricesFrom([]*System{priced(100, 30, 1000), priced(200, 30, 1800), priced(100, 50, 1300), priced(300, 60, 9999), priced(100, 40, nan)})
	assert.InDelta(t, 8, p.PerAh, 1e-9)
	assert.InDelta(t, 15, p.PerA, 1e-9)
	assert.True(t, math.IsNaN(p.PerW))
}

func TestBankSizesCanBeBought(t *testing.T) {
	banks := BankSizes(bareSystem(t, 100))
	assert.Equal(t, Bank{50, 1}, banks[0])
	for i, b := range banks {
		if i > 0 {
			assert.Greater(t, b.Ah, banks[i-1].Ah)
		}
		assert.Contains(t, profiles.CapacitiesAh("lifepo4", 12), b.Ah/float64(b.Count))
	}
	assert.Equal(t, Bank{1600, 4}, banks[len(banks)-1])
}

// BenchmarkSizeMap is a map of 20 x 20 sizes with 500 draws of the 14-day trip.
func BenchmarkSizeMap(b *testing.B) {
	trip, loads, sys := benchTrip(b)
	s := mustStudy(b, trip, loads)
	ah, amps := make([]float64, 20), make([]float64, 20)
	for i := range ah {
		ah[i], amps[i] = 50+20*float64(i), 5+3*float64(i)
	}
	for b.Loop() {
		if _, err := s.SizeMap(context.Background(), sys, ChargerSize, ah, amps, Goal{FlatRisk: 0.05}, Prices{}, 500, nil); err != nil {
			b.Fatal(err)
		}
	}
}

// The heater runs once the panels give more than it takes: that depends on the
// size that is tried. 300 W of panels with a 40 W heater, -12 to -4 C.
func TestAPanelSearchFollowsTheBatterysHeater(t *testing.T) {
	stop := stopAt(45, 10, zone(t, "UTC"), day(2026, 2, 1), 6)
	stop.TempMinC, stop.TempMaxC = -12, -4
	sys := bareSystem(t, 100)
	sys.Battery.HeaterW = 40
	sys.Chargers = []Charger{{Name: "regulator", SolarA: 60, Efficiency: .95}}
	sys.Panels = []Panel{{Name: "roof", RatedW: 300, AzimuthDeg: nan, TempCoeffPerK: -.0035, NOCTC: 45}}
	s := mustStudy(t, &Trip{Stops: []Stop{stop}}, []Load{steady("box", 6)})
	sizes := []float64{0, 100, 300, 600}
	z, err := s.SizeFor(context.Background(), sys, PanelSize, Sizes(sizes), Goal{FlatRisk: 0.05}, 60, nil)
	require.NoError(t, err)
	for i, w := range sizes {
		risks, err := s.Ensemble(context.Background(), []*System{WithPanelW(sys, w)}, 60, nil)
		require.NoError(t, err)
		t.Logf("%g W: reserve %.3f, one by one %.3f", w, z.Points[i].Reserve, risks[0].Reserve.Mean)
		assert.InDelta(t, risks[0].Reserve.Mean, z.Points[i].Reserve, 1e-5, "%g W", w)
		assert.Equal(t, risks[0].Flat, z.Points[i].Flat, "%g W", w)
	}
}
