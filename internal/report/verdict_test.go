package report

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"tripsim/internal/sim"
)

var anyGoal = Goal{FlatRisk: 0.05}

func holding(t *testing.T) *sim.Result {
	return invented{system: "Weekend", ah: 200, zone: "Africa/Casablanca", start: "2025-10-07", places: []string{"Zagora", "Erg Chebbi"}}.result(t)
}

func failing(t *testing.T) *sim.Result {
	return invented{
		system: "Entry", ah: 100, zone: "Africa/Casablanca", start: "2025-10-07",
		places: []string{"Zagora", "Erg Chebbi", "Todra"}, flat: []int{1, 2},
	}.result(t)
}

func TestTheVerdictIsOnePlainSentence(t *testing.T) {
	f := DefaultFormat()
	assert.Equal(t, "Weekend (200 Ah lithium, 40 A charger, 160 W of panels) carries this trip; "+
		"its lowest charge is 50 % on Tue 7 Oct at Zagora.", plain(Verdict(holding(t), f)))
	assert.Equal(t, "Entry (100 Ah lithium, 40 A charger, 160 W of panels) runs flat on 2 of 3 days, "+
		"first on Wed 8 Oct, 00:00: 240 Wh unserved.", plain(Verdict(failing(t), f)))

	barely := holding(t)
	barely.LowSoC, barely.LowReserve, barely.Days[1].LowSoC = 0.13, 0.03, 0.13
	assert.Contains(t, plain(Verdict(barely, f)), "carries this trip, but only just: its lowest charge is 13 % on Wed 8 Oct at Erg Chebbi, 3 points above its cut-off of 10 %.")

	short := holding(t)
	short.Total.UnservedWh, short.Loads[1].UnservedWh = 70, 70
	assert.Contains(t, plain(Verdict(short, f)), "does not run flat, but leaves 70 Wh unserved: Coffee machine (70 of 100 Wh); its lowest charge is 50 %")

	shed := holding(t)
	shed.Total.ShedWh = 55
	assert.Contains(t, plain(Verdict(shed, f)), "carries this trip")
	assert.Contains(t, plain(Verdict(shed, f)), "It switches off non-essential appliances at low charge: 55 Wh not used.")

	none := holding(t)
	none.Loads[1].NoOutletWh = 100
	none.Loads[0].CouldNotHold, none.Loads[0].WarmestC = true, 12.4
	assert.Contains(t, plain(Verdict(none, f)), " It has no outlet for Coffee machine. Fridge cannot hold its temperature (12 °C inside at the warmest).")
}

func TestTheVerdictTakesTheSimulatedTripsIn(t *testing.T) {
	f := DefaultFormat()
	r := holding(t)
	text := plain(VerdictOn(r, inventedRisk(r, 32), Goal{FlatRisk: 0.05}, f))
	assert.Contains(t, text, "carries this trip; its lowest charge")
	assert.Contains(t, text, "In 32 of 1,000 simulated trips with the weather of these places and dates it runs flat at least once: "+
		"flat risk 3.2 % (95 % interval 2 % to 5 %).")
	assert.NotContains(t, text, "That is more")
	text = plain(VerdictOn(r, inventedRisk(r, 32), Goal{FlatRisk: 0.01}, f))
	assert.Contains(t, text, "carries this trip in typical weather, but is too risky; its lowest charge")
	assert.Contains(t, text, "That is more than the accepted 1 %.")
	text = plain(VerdictOn(r, nil, Goal{Reserve: 0.6}, f))
	assert.Contains(t, text, "keeps less than the wanted reserve: its lowest charge is 50 % on Tue 7 Oct at Zagora, 40 points above its cut-off of 10 %, where 60 points are wanted.")
	assert.NotContains(t, text, "carries")
}

func TestJudgementsFollowFromResultAndGoal(t *testing.T) {
	r := holding(t)
	assert.Equal(t, Carries, Judge(r, nil, anyGoal))
	assert.Equal(t, Carries, Judge(r, inventedRisk(r, 50), anyGoal), "as much as accepted is accepted")
	assert.Equal(t, Risky, Judge(r, inventedRisk(r, 51), anyGoal))
	assert.Equal(t, Thin, Judge(r, nil, Goal{Reserve: 0.41}))
	assert.Equal(t, RunsFlat, Judge(failing(t), nil, Goal{FlatRisk: 1}))
	r.Loads[1].NoOutletWh = 100
	assert.Equal(t, InPart, Judge(r, nil, anyGoal))
	r.Total.UnservedWh = 10
	assert.Equal(t, FallsShort, Judge(r, nil, anyGoal))
	r.Total.UnservedWh = 0.5
	assert.Equal(t, InPart, Judge(r, nil, anyGoal), "half a watt-hour is not missed")
}

func TestTheSmallestSystemThatCarriesIsRecommended(t *testing.T) {
	small, big, flat := holding(t), holding(t), failing(t)
	big.System.Battery.CapacityAh = 300
	best, nearest := Recommend([]*sim.Result{flat, big, small}, nil, anyGoal)
	assert.Equal(t, 2, best)
	assert.Equal(t, 2, nearest)

	// the small one is too risky
	risks := []*sim.Risk{nil, inventedRisk(big, 1), inventedRisk(small, 200)}
	best, _ = Recommend([]*sim.Result{flat, big, small}, risks, anyGoal)
	assert.Equal(t, 1, best)

	// equal batteries: the cheaper one; a system without price is the dearest
	cheap, unpriced := holding(t), holding(t)
	cheap.System.Price, unpriced.System.Price = 900, math.NaN()
	big.System.Battery.CapacityAh, big.System.Price = 200, 1000
	best, _ = Recommend([]*sim.Result{unpriced, big, cheap}, nil, anyGoal)
	assert.Equal(t, 2, best)

	// two small banks side by side are not smaller than one
	twin := holding(t)
	twin.System.Battery.CapacityAh, twin.System.Battery.Count = 150, 2
	best, _ = Recommend([]*sim.Result{twin, small}, nil, anyGoal)
	assert.Equal(t, 1, best)
	// nor is a bank of 100 Ah at 24 V smaller than 150 Ah at 12 V
	twin.System.Battery.CapacityAh, twin.System.Battery.Count, twin.System.Battery.NominalV = 110, 1, 24
	best, _ = Recommend([]*sim.Result{twin, small}, nil, anyGoal)
	assert.Equal(t, 1, best)

	// what feeds every appliance goes before a smaller one that does not
	part := holding(t)
	part.System.Battery.CapacityAh, part.Loads[1].NoOutletWh = 50, 100
	best, _ = Recommend([]*sim.Result{part, small}, nil, anyGoal)
	assert.Equal(t, 1, best)
	best, _ = Recommend([]*sim.Result{part, flat}, nil, anyGoal)
	assert.Equal(t, 0, best, "but it is better than nothing")
}

func TestWhenNothingCarriesTheNearestIsNamed(t *testing.T) {
	worse, better := failing(t), failing(t)
	better.Total.UnservedWh = 10
	best, nearest := Recommend([]*sim.Result{worse, better}, nil, anyGoal)
	assert.Equal(t, -1, best)
	assert.Equal(t, 1, nearest)
	best, nearest = Recommend(nil, nil, anyGoal)
	assert.Equal(t, -1, best)
	assert.Equal(t, -1, nearest)
}

func TestAChargerCountsToItsSharedLimit(t *testing.T) {
	s := &sim.System{Name: "Tandem", Battery: battery(400), Chargers: []sim.Charger{
		{Name: "Combined", AlternatorA: 30, SolarA: 30, MainsA: 30, TotalA: 30},
		{Name: "DC", AlternatorA: 50, TotalA: math.NaN()},
	}}
	assert.Equal(t, 80.0, driveA(s), "30 A and 50 A side by side")
	assert.Equal(t, 30.0, mainsA(s))
	assert.Equal(t, 80.0, chargerA(s))
	assert.Equal(t, "400 Ah lithium, 30 A + 50 A chargers", plain(MakeUp(s, DefaultFormat())))
	three := &sim.System{Name: "Three", Battery: battery(100), Chargers: []sim.Charger{{Name: "Unit", AlternatorA: 30, SolarA: 20, MainsA: 10, TotalA: math.NaN()}}}
	assert.Equal(t, "100 Ah lithium, 30 A charger", plain(MakeUp(three, DefaultFormat())), "by its largest input, not their sum")
	assert.Equal(t, 60.0, chargerA(three))
	s.Chargers = append(s.Chargers, sim.Charger{Name: "Limited", AlternatorA: 60, SolarA: 20, MainsA: 60, TotalA: 25})
	assert.Equal(t, 105.0, driveA(s))
	assert.Equal(t, 55.0, mainsA(s))
	assert.Equal(t, 105.0, chargerA(s))
	s.Chargers = nil
	assert.Equal(t, "400 Ah lithium, no charger", plain(MakeUp(s, DefaultFormat())))
	s.Name = ""
	assert.Equal(t, "? (400 Ah lithium, no charger)", plain(Describe(s, DefaultFormat())))
}
