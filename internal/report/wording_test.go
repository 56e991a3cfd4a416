package report

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/sim"
)

func formatOf(t *testing.T, locale string) Format {
	t.Helper()
	f, err := NewFormat(locale, "")
	require.NoError(t, err)
	return f
}

func TestTheCutOffNamesTheColdOfTheTrip(t *testing.T) {
	f := DefaultFormat()
	r := holding(t)
	assert.Equal(t, "10 %", plain(CutOff(r, f)))
	r.Rows[3].FloorSoC = 0.23
	assert.Equal(t, "10 % (23 % in the cold of this trip)", plain(CutOff(r, f)))
	r.Rows[4].FloorSoC = 0.14
	assert.Equal(t, "10 % (14 to 23 % in the cold of this trip)", plain(CutOff(r, f)))
	r.Rows[5].FloorSoC = 0.101
	assert.Equal(t, "10 % (up to 23 % in the cold of this trip)", plain(CutOff(r, f)))
	typical := typicalOf(r, nil)
	assert.Equal(t, []num{10, 23}, []num{typical.CutOffPct, typical.ColdCutOffPct})
	r.Rows[3].FloorSoC, r.Rows[4].FloorSoC, r.Rows[5].FloorSoC = 0.1, 0.1, 0.1
	assert.True(t, math.IsNaN(float64(typicalOf(r, nil).ColdCutOffPct)), "not raised")
}

// Numbers of the model's sentences are the reader's; those in names stay.
func TestSentencesHaveTheReadersNumbers(t *testing.T) {
	german, american := formatOf(t, "de"), formatOf(t, "en-US")
	assert.Equal(t, "2.300 W bei −4 °C, 1,5 h, 12,0 V, 30 %", plain(localised("2300 W bei -4 °C, 1.5 h, 12.0 V, 30 %", german)))
	assert.Equal(t, "25 °F of 5 years", plain(localised("-4 °C of 5 years", american)))
	e := &sim.Event{Load: "Heater 2000 W + Pump", Detail: "Heater 2000 W + Pump: 2600 VA asked of an inverter that gives 1900 VA at 31 °C; they have to take turns."}
	assert.Equal(t, "Heater 2000 W + Pump: 2.600 VA asked of an inverter that gives 1.900 VA at 31 °C; they have to take turns", plain(detailText(e, german)))
	s := &sim.FlatSpell{Drew: []sim.Share{{Name: "Fridge 60 l", Wh: 1332.4}}, Missing: []string{"sun gave 1047 Wh", "6.0 h of driving gave 0 Wh"}}
	assert.Equal(t, "In the 24 h before, the appliances asked for 1.332 Wh (Fridge 60 l 1.332); sun gave 1.047 Wh, 6,0 h of driving gave 0 Wh.", plain(Cause(s, german)))
}

func TestASmallInverterIsNotAMissingOutlet(t *testing.T) {
	f := DefaultFormat()
	r := holding(t)
	r.System.Inverter.RatedW = 300
	r.Loads[1].NoOutletWh, r.Loads[1].PeakW = 100, 1200
	r.Events = []sim.Event{{Kind: sim.NoOutlet, Start: r.Slots[0].Start, Load: r.Loads[1].Name, Hours: 99, Detail: "Coffee machine asks for 100 Wh."}}
	assert.Contains(t, plain(Verdict(r, f)), " Its inverter is too small for Coffee machine.")
	assert.NotContains(t, plain(Verdict(r, f)), "outlet")
	assert.Contains(t, plain(Events(r, f)[0]), "inverter too small: Coffee machine asks")
	assert.Equal(t, InPart, Judge(r, nil, anyGoal))
	r.System.Inverter.RatedW, r.System.InverterMode = 2000, sim.InverterWindow
	assert.Contains(t, plain(Verdict(r, f)), " Its inverter is off when Coffee machine would run.")
	r.System.Inverter.RatedW = 0
	assert.Contains(t, plain(Verdict(r, f)), " It has no outlet for Coffee machine.")
}

func TestAThinReserveIsToldFromTheWantedOne(t *testing.T) {
	r := holding(t)
	r.LowReserve = 0.0996
	text := plain(VerdictOn(r, nil, Goal{Reserve: 0.1}, DefaultFormat()))
	assert.Contains(t, text, "9.96 points above its cut-off of 10 %, where 10.00 points are wanted.")
}

func TestNumbersStayWithTheirUnitsAndDays(t *testing.T) {
	for _, s := range []string{"110 W", "-4 °C", "7 °F", "12 Jun", "8. Juni", "Jun 8", "14 October", "3 days", "5 kWh/m²"} {
		assert.Equal(t, "a "+strings.Replace(s, " ", "\u00a0", 1)+" b", Tied("a "+s+" b"))
	}
	assert.Equal(t, "a 12 Junk", Tied("a 12 Junk"), "no month")
	text := Screen{Width: 30, Format: DefaultFormat()}.Heading("Charger with a good many of 110 W of panels")
	assert.Contains(t, text, "\n110 W of panels")
}

func TestAChangeIsEnoughOrSaysWhatIsLeft(t *testing.T) {
	f := DefaultFormat()
	fix := func(flat, short float64, cut sim.EventKind) *sim.Fix {
		return &sim.Fix{Kind: sim.LargerBattery, Cut: cut, Risk: &sim.Risk{Flat: sim.Proportion{Share: flat}, Short: sim.Proportion{Share: short}, Unserved: sim.Distribution{Mean: 42}}}
	}
	enough, left := FixEnough(fix(0.04, 0.05, ""), anyGoal, f)
	assert.True(t, enough)
	assert.Empty(t, left)
	for want, x := range map[string]*sim.Fix{
		"still flat on 12 % of the trips":                           fix(0.12, 0.12, ""),
		"42 Wh still cut off by the inverter's rating":              fix(0, 1, sim.Overload),
		"42 Wh still cut off by the battery's current limit":        fix(0.01, 1, sim.OverCurrent),
		"42 Wh still cut off by the inverter's low-voltage cut-off": fix(0.01, 1, sim.LowVoltage),
		"42 Wh still unserved":                                      fix(0.01, 0.06, ""),
	} {
		enough, left = FixEnough(x, anyGoal, f)
		assert.False(t, enough)
		assert.Equal(t, want, plain(left))
	}
	warmer := &sim.Fix{Kind: sim.WarmerFridge, What: "Fridge, Freezer", From: 4, To: 6}
	assert.Equal(t, "Fridge, Freezer at 6 °C instead of 4 °C", plain(FixText(warmer, f)))
	warmer.Each = true
	assert.Equal(t, "Fridge, Freezer each 2 °C warmer", plain(FixText(warmer, f)))
	assert.Equal(t, "Fridge, Freezer each 4 °F warmer", plain(FixText(warmer, formatOf(t, "en-US"))), "2 K are 3.6 °F")
}

func TestWearSaysHowLongTheBatteryLasts(t *testing.T) {
	f := DefaultFormat()
	assert.Equal(t, ", which lasts 8.5 years at this use day after day", plain(lifeText(8.5, f)))
	assert.Contains(t, plain(lifeText(20, f)), "20 years at this use day after day: its age ends it first")
	assert.Contains(t, plain(lifeText(sim.MostLifeYears, f)), "more than 50 years")
	assert.Empty(t, lifeText(math.NaN(), f))
	r := holding(t)
	r.Loads[0].DailyWh = 312
	assert.Equal(t, []string{"Fridge runs 30 % of the time: 312 Wh a day."}, []string{plain(Fridges(r, f)[0])})
	r.Loads[0].UnservedWh = 40
	assert.Equal(t, "Fridge runs 30 % of the time: 312 Wh a day. When it is cut off it warms and has to catch up: neither is in these figures.", plain(Fridges(r, f)[0]))
}

// recordedRun is the invented run on the days of an invented weather file.
func recordedRun(t *testing.T, last string) *Run {
	run := inventedRun(t)
	end, err := time.Parse(time.DateOnly, last)
	require.NoError(t, err)
	run.Recorded = &Recorded{Name: "harbour.csv", First: time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC), Last: end, LatDeg: 60.39, LonDeg: -5.32, ElevationM: 12, Dates: true}
	return run
}

func TestAWeatherFileIsNamedAsTheSource(t *testing.T) {
	run := recordedRun(t, "2025-12-31")
	run.Draws, run.Risks = 0, nil
	text := run.Text(Screen{Width: 100, Format: DefaultFormat()})
	assert.Contains(t, text, "Recorded weather of harbour.csv (the recorded year 2025), on the days of the trip's own dates.\n")
	assert.Contains(t, text, "Day by day: Weekend, weather of harbour.csv\n")
	assert.Contains(t, text, "  Weather: harbour.csv, the recorded year 2025; made at 60.39° N, 5.32° W, 12 m.\n")
	for _, wrong := range []string{"Climate:", "simulated trip", "draw 0", "risk", "Typical weather"} {
		assert.NotContains(t, text, wrong)
	}
	doc, err := run.JSON()
	require.NoError(t, err)
	assert.Contains(t, string(doc), `"weather_file": "harbour.csv"`)
	assert.Contains(t, string(doc), `"climate": []`)
}

func TestSeveralRecordedTripsAreCalledSo(t *testing.T) {
	run := recordedRun(t, "2027-12-31")
	run.Results[1].Climate[0].Override = true
	for _, k := range run.Risks {
		k.Draws, k.FlatDraws, k.Flat = 3, 1, sim.Wilson(1, 3)
	}
	run.Draws, run.Recorded.Overlap = 3, true
	text := strings.ReplaceAll(run.Text(Screen{Width: 100, Format: DefaultFormat()}), "own\ndates", "own dates")
	assert.Contains(t, text, "(the recorded years 2025 to 2027), on the days of the trip's own dates; day by day in the first")
	assert.Contains(t, text, "3 recorded trips: invented weather, seed 1.")
	assert.Contains(t, text, "In 1 of 3 recorded trips it runs flat at least once: flat risk 33 % (95 % interval 6.1 to 79 %).")
	assert.Contains(t, text, "Trips that start a day apart share most of their weather")
	assert.Contains(t, text, "The trip's own figures of sun and temperature are not used beside a weather file.")
	assert.NotContains(t, text, "9 of 10", "of three")
	assert.NotContains(t, text, "simulated trip")
	run.Recorded.Dates = false // typical weather day by day
	assert.Contains(t, run.Text(Screen{Width: 100, Format: DefaultFormat()}), "Climate: Invented climate.")
}

func TestTheSpreadOfTheSimulatedTripsAndTheWorstOfThem(t *testing.T) {
	run := inventedRun(t)
	k, worst := run.Risks[1], failing(t)
	k.WorstDraw = 124
	k.Reserve = sim.Distribution{Min: 0, Q05: 0.12, Q50: 0.4, Q95: 0.5, Max: 0.51}
	k.Spilled = sim.Distribution{Min: 900, Q05: 1000, Q50: 1500, Q95: 2000, Max: 2500}
	run.Worst = []Draw{{}, {No: 124, Result: worst}}
	text := run.Text(Screen{Width: 100, Format: DefaultFormat()})
	assert.Contains(t, text, strings.Join([]string{
		"Over 1,000 simulated trips",
		"                               middle    9 of 10 within     all within",
		"  lowest charge above cut-off  40 %      12 to 50 %         0 to 51 %",
		"  unserved                     0 Wh      0 Wh               0 to 700 Wh",
		"  spilled sun                  1,500 Wh  1,000 to 2,000 Wh  900 to 2,500 Wh",
		"  The worst of 1,000 simulated trips (no. 124): flat on 2 days, 240 Wh unserved; see --worst.",
	}, "\n"))
	assert.Contains(t, text, "Day by day: Weekend, typical weather")

	run.Instead = run.Worst
	text = run.Text(Screen{Width: 100, Format: DefaultFormat()})
	assert.Contains(t, text, "the worst of 1,000 simulated trips (no. 124)\n")
	assert.NotContains(t, text, "see --worst")
	assert.Contains(t, text, "carries this trip", "the verdict stays that of typical weather")
	assert.Equal(t, []string{"0", "6", "6", "0", "6", "6"}, read(t, run.Days(DefaultFormat()).CSV())["flat_h"])
	doc, err := run.JSON()
	require.NoError(t, err)
	assert.Contains(t, string(doc), `"shown_trip": {`)
	run.Instead[1].No = 7
	assert.Contains(t, run.Text(Screen{Width: 100, Format: DefaultFormat()}), "simulated trip no. 7\n")
}

// At 60, 80 and 120 columns nothing is wider than the terminal, and what is
// unserved is there.
func TestAnswersFitTheTerminal(t *testing.T) {
	run := inventedRun(t)
	run.Shown = []int{0, 1}
	for _, width := range []int{40, 60, 80, 120} {
		text := run.Text(Screen{Width: width, Format: DefaultFormat()})
		for line := range strings.Lines(text) {
			assert.LessOrEqual(t, Width(strings.TrimSuffix(line, "\n")), width, line)
		}
		days := text[strings.Index(text, "Day by day: Entry"):]
		head, _, _ := strings.Cut(days, "! Wed")
		assert.Contains(t, head, "unserved", "%d", width)
	}
}
