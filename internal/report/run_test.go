package report

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/sim"
)

// inventedRun is an invented scenario of two systems.
func inventedRun(t *testing.T) *Run {
	flat, holds := failing(t), invented{
		system: "Weekend", ah: 200, zone: "Africa/Casablanca", start: "2025-10-07",
		places: []string{"Zagora", "Erg Chebbi", "Todra"},
	}.result(t)
	holds.System.Price, flat.System.Price = 2400, 1200
	holds.Events = []sim.Event{
		{Kind: sim.Surge, Start: holds.Slots[7].Start, Times: []time.Time{holds.Slots[7].Start, holds.Slots[31].Start}, Load: "Coffee machine", Detail: "Coffee machine starts with 2300 W, beyond the inverter's surge of 2000 W."},
		{Kind: sim.ChargeRefused, Start: holds.Slots[9].Start, Hours: 1.5, Detail: "The battery refuses charge at -2 °C."},
	}
	holds.Days[1].Refused = true
	run := &Run{
		Scenario: "invented", Title: "An invented loop", Customer: "Customer A", Hash: "0123456789abcdef", Program: "tripsim test",
		Options: sim.DefaultOptions(), Draws: 1000, Goal: anyGoal, Currency: "EUR", Warnings: []string{"trip.csv: something is odd"}, Sources: []string{"Time zones: invented"}, Medical: []string{"Breathing aid"},
		Results: []*sim.Result{flat, holds}, Risks: []*sim.Risk{inventedRisk(flat, 1000), inventedRisk(holds, 12)},
	}
	run.ChooseShown()
	return run
}

func TestTheWholeAnswerOnATerminal(t *testing.T) {
	run := inventedRun(t)
	golden(t, "run-80.golden", run.Text(Screen{Width: 80, Format: DefaultFormat()}))
	golden(t, "run-50.golden", run.Text(Screen{Width: 50, Format: DefaultFormat()}))
	german, err := NewFormat("de", "")
	require.NoError(t, err)
	run.Shown = []int{0}
	golden(t, "run-130-de.golden", run.Text(Screen{Width: 130, Format: german}))
}

func TestHostileNamesDoNotBreakTheTable(t *testing.T) {
	r := invented{
		system: "\x1b[2Jwipe\n=cmd()", ah: 100, zone: "Asia/Kathmandu", start: "2025-06-20",
		places: []string{"<script>alert(1)</script>", strings.Repeat("endless", 45), "مدينة بعيدة", "日本の長い長い地名", "👩‍👩‍👧\u202e camp"}, flat: []int{0},
	}.result(t)
	run := &Run{Scenario: "\x1b]0;x\x07hostile\u2028", Program: "tripsim test", Options: sim.DefaultOptions(), Results: []*sim.Result{r}, Shown: []int{0}}
	text := run.Text(Screen{Width: 80, Format: DefaultFormat()})
	assert.NotRegexp(t, regexp.MustCompile("[\x00-\x09\x0b-\x1f\x7f\u0080-\u009f\u202a-\u202e\u2028]"), text)
	for line := range strings.Lines(text) {
		assert.LessOrEqual(t, Width(strings.TrimSuffix(line, "\n")), 80, "%q", line)
	}
	golden(t, "hostile-80.golden", text)
}

func TestDayTableAddsUp(t *testing.T) {
	r := failing(t)
	days := Days(r, nil, DefaultFormat())
	require.Len(t, days.Rows, 3)
	for i, c := range days.Columns {
		total := days.Total.Cells[i]
		if !strings.HasSuffix(c.Key, "_wh") && c.Key != "drive_h" && c.Key != "flat_h" {
			continue
		}
		sum := 0.0
		for _, row := range days.Rows {
			sum += row.Cells[i].number
		}
		assert.InDelta(t, total.number, sum, 1e-9, c.Key)
	}
	assert.Equal(t, []Mark{NoMark, BadMark, BadMark}, []Mark{days.Rows[0].Mark, days.Rows[1].Mark, days.Rows[2].Mark})
}

func TestEveryTableHasAsManyCellsAsColumns(t *testing.T) {
	run := inventedRun(t)
	for _, table := range []*Table{Days(run.Results[0], run.Risks[0], DefaultFormat()), Hours(run.Results), run.Systems(DefaultFormat())} {
		keys := map[string]bool{}
		for _, c := range table.Columns {
			assert.False(t, keys[c.Key], "%s is there twice", c.Key)
			assert.NotEmpty(t, c.Doc, c.Key)
			keys[c.Key] = true
		}
		for _, row := range table.Rows {
			assert.Len(t, row.Cells, len(table.Columns))
		}
		if table.Total != nil {
			assert.Len(t, table.Total.Cells, len(table.Columns))
		}
	}
}

// read returns a CSV file as columns by name.
func read(t *testing.T, file []byte) map[string][]string {
	t.Helper()
	records, err := csv.NewReader(strings.NewReader(string(file))).ReadAll()
	require.NoError(t, err)
	out := map[string][]string{}
	for i, key := range records[0] {
		for _, rec := range records[1:] {
			out[key] = append(out[key], rec[i])
		}
	}
	return out
}

func parsed(t *testing.T, s string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(s, 64)
	require.NoError(t, err)
	return x
}

func TestHoursAddUpToDays(t *testing.T) {
	run := inventedRun(t)
	hours, days := read(t, Hours(run.Results).CSV()), read(t, DaysOf(run.Results, run.Risks, DefaultFormat()).CSV())
	sum := map[string]float64{}
	for i := range hours["system"] {
		key := hours["system"][i] + " " + hours["day"][i]
		sum[key+" loads"] += parsed(t, hours["dc_load_wh"][i]) + parsed(t, hours["ac_load_wh"][i])
		sum[key+" alternator"] += parsed(t, hours["alternator_bus_wh"][i])
		sum[key+" flat"] += parsed(t, hours["flat_h"][i])
		sum[key+" hours"] += parsed(t, hours["hours"][i])
	}
	require.Len(t, days["system"], 6)
	for i := range days["system"] {
		key := days["system"][i] + " " + days["day"][i]
		assert.InDelta(t, parsed(t, days["loads_wh"][i]), sum[key+" loads"], 0.01, key)
		assert.InDelta(t, parsed(t, days["alternator_wh"][i]), sum[key+" alternator"], 0.01, key)
		assert.InDelta(t, parsed(t, days["flat_h"][i]), sum[key+" flat"], 0.01, key)
		assert.InDelta(t, parsed(t, days["hours"][i]), sum[key+" hours"], 0.01, key)
	}
}

// European summer time of 2025 ended on 26 October at 01:00 UTC (Directive
// 2000/84/EC, article 3: the last Sunday in October): a day of 25 hours in which
// the clock shows 02:00 twice.
func TestTheHourThatComesTwiceHasTwoRows(t *testing.T) {
	r := invented{system: "S", ah: 100, zone: "Europe/Oslo", start: "2025-10-25", places: []string{"A", "B", "C"}}.result(t)
	hours := read(t, Hours([]*sim.Result{r}).CSV())
	var second []string
	for i, day := range hours["day"] {
		if day == "2" {
			second = append(second, hours["start"][i])
		}
	}
	require.Len(t, second, 25)
	assert.Equal(t, []string{"2025-10-26T01:00:00+02:00", "2025-10-26T02:00:00+02:00", "2025-10-26T02:00:00+01:00", "2025-10-26T03:00:00+01:00"}, second[1:5])
	days := read(t, Days(r, nil, DefaultFormat()).CSV())
	assert.Equal(t, []string{"24", "25", "24"}, days["hours"])
}

// Nepal keeps 5 h 45 min ahead of UTC: hours are counted from local midnight.
func TestHoursStartAtLocalMidnightInAnyZone(t *testing.T) {
	r := invented{system: "S", ah: 100, zone: "Asia/Kathmandu", start: "2025-06-20", places: []string{"A"}}.result(t)
	hours := read(t, Hours([]*sim.Result{r}).CSV())
	assert.Equal(t, "2025-06-20T00:00:00+05:45", hours["start"][0])
	assert.Equal(t, "2025-06-20T23:00:00+05:45", hours["start"][23])
}

func TestResultJSONIsComplete(t *testing.T) {
	doc, err := inventedRun(t).JSON()
	require.NoError(t, err)
	golden(t, "result.golden.json", string(doc))
	var v map[string]any
	require.NoError(t, json.Unmarshal(doc, &v))
	assert.Equal(t, Schema, v["schema"])
	assert.Equal(t, "0123456789abcdef", v["input_hash"])
	assert.Equal(t, "Weekend", v["recommended_system"])
	assumptions := v["assumptions"].(map[string]any)
	for _, key := range []string{"seed", "step_minutes", "draws", "ground_reflectance", "accepted_flat_risk_pct", "climate"} {
		assert.NotNil(t, assumptions[key], key)
	}
	assert.Nil(t, assumptions["linke_turbidity"], "by place and month")
	again, err := inventedRun(t).JSON()
	require.NoError(t, err)
	assert.Equal(t, string(doc), string(again))
	risk := v["systems"].([]any)[1].(map[string]any)["risk"].(map[string]any)
	assert.Equal(t, 1.2, risk["flat_risk_pct"])
	assert.Equal(t, 0.25, risk["mean_wear_pct_of_cycle_life"])
	assert.Equal(t, 40.0, risk["reserve_pct"].(map[string]any)["q50"])
	assert.Equal(t, 700.0, risk["unserved_wh"].(map[string]any)["max"])
	band := risk["soc_bands"].([]any)[0].(map[string]any)
	assert.Equal(t, "2025-10-07T01:00:00+01:00", band["at"])
	assert.Equal(t, 20.0, band["q05_pct"])
}

// Every number in result.json says its unit in its key, or is a count or index.
func TestKeysOfNumbersNameTheirUnits(t *testing.T) {
	doc, err := inventedRun(t).JSON()
	require.NoError(t, err)
	var v any
	require.NoError(t, json.Unmarshal(doc, &v))
	unit := regexp.MustCompile(`(^|_)(wh|w|a|ah|v|h|c|m|km|pct|deg|days|minutes|life|years)$|_pct_|_m2|_per_day$`)
	bare := regexp.MustCompile(`^(seed|draws|flat_draws|worst_draw|day|weekday|price|ground_reflectance|linke_turbidity|` +
		`equivalent_full_cycles|largest_relative_energy_residual|mean|min|q05|q25|q50|q75|q95|max|hours)$`)
	var walk func(v any)
	walk = func(v any) {
		switch v := v.(type) {
		case map[string]any:
			for key, inner := range v {
				if _, isNumber := inner.(float64); isNumber {
					assert.True(t, unit.MatchString(key) || bare.MatchString(key), key)
				}
				walk(inner)
			}
		case []any:
			for _, inner := range v {
				walk(inner)
			}
		}
	}
	walk(v)
}

func TestARunWithoutSimulatedTripsSaysNothingOfRisk(t *testing.T) {
	run := inventedRun(t)
	run.Draws, run.Risks = 0, nil
	text := run.Text(Screen{Width: 100, Format: DefaultFormat()})
	assert.NotContains(t, text, "simulated trips")
	assert.NotContains(t, text, "risk")
	doc, err := run.JSON()
	require.NoError(t, err)
	assert.Contains(t, string(doc), `"risk": null`)
	assert.Contains(t, string(doc), `"flat_risk_pct": null`)
}

func TestNumbersThatAreNoneAreNullInJSON(t *testing.T) {
	run := inventedRun(t)
	run.Results[1].AutonomyDays = math.Inf(1)
	run.Results[1].Climate[0].NearestKM = math.NaN()
	doc, err := run.JSON()
	require.NoError(t, err)
	assert.Contains(t, string(doc), `"autonomy_days": null`)
	assert.Contains(t, plain(run.Text(Screen{Width: 80, Format: DefaultFormat()})), "for unlimited")
}

// A day of 24 hours in half-hour steps: every hour has two, and means and sums
// are taken over both.
func TestAnHourTakesItsStepsTogether(t *testing.T) {
	r := invented{system: "S", ah: 100, zone: "UTC", start: "2025-06-20", places: []string{"A"}}.result(t)
	r.Step = 30 * time.Minute
	r.Days[0].EndRow = 4
	for i := range 4 {
		k := float64(i)
		r.Slots[i] = sim.Slot{Start: r.Slots[0].Start.Add(time.Duration(i) * r.Step), DriveH: 0.1 * k, MainsH: 0.2 * k, GenH: 0.05 * k}
		r.Rows[i] = sim.Row{
			SoC: 0.9 - 0.1*k, FloorSoC: 0.1, VoltageV: 13 + k, BatteryA: -k, PeakA: []float64{10, 4, 7, 30}[i], InputA: 5 - k, BatteryC: 20 + k,
			FlatH: 0.1 * k, OffH: 0.15 * k, TripH: 0.2 * k, Refused: i == 3, Shed: i == 0,
			Ledger: sim.Ledger{SolarWh: k, AlternatorWh: 10 * k, MainsWh: 100 * k, TransferWh: 1000 * k, DCLoadWh: 2 * k, ACLoadWh: 20 * k},
		}
		r.Traces.GHIWm2[i], r.Traces.AirC[i], r.Traces.DemandW[i] = 100*k, 10*k, 50*k
	}
	r.Traces.PanelW = []float64{0, 40, 80, 120}
	hours := read(t, Hours([]*sim.Result{r}).CSV())
	for key, want := range map[string][]string{
		"start": {"2025-06-20T00:00:00+00:00", "2025-06-20T01:00:00+00:00"}, "hours": {"1", "1"},
		"drive_h": {"0.1", "0.5"}, "mains_h": {"0.2", "1"}, "generator_h": {"0.05", "0.25"},
		"ghi_w_m2": {"50", "250"}, "air_c": {"5", "25"}, "battery_c": {"20.5", "22.5"}, "panel_w": {"20", "100"}, "asked_wh": {"25", "125"},
		"solar_wh": {"1", "5"}, "alternator_wh": {"10", "50"}, "mains_wh": {"100", "500"}, "transfer_wh": {"1000", "5000"},
		"dc_load_wh": {"2", "10"}, "ac_load_wh": {"20", "100"}, "end_soc_pct": {"80", "60"}, "cut_off_soc_pct": {"10", "10"},
		"voltage_v": {"13.5", "15.5"}, "battery_a": {"-0.5", "-2.5"}, "peak_a": {"10", "30"}, "alternator_peak_a": {"5", "3"},
		"flat_h": {"0.1", "0.5"}, "current_cut_h": {"0.05", "0.25"}, "inverter_off_h": {"0.2", "1"}, "charge_refused": {"no", "yes"}, "shed": {"yes", "no"},
	} {
		assert.Equal(t, want, hours[key], key)
	}
}

func TestDaysAddUpTheHoursOfTooMuchCurrent(t *testing.T) {
	r := failing(t)
	row := &r.Rows[r.Days[1].FirstRow+12]
	row.OffH = row.FlatH + 0.25
	days := Days(r, nil, DefaultFormat())
	assert.Equal(t, []string{"0", "0.25", "0"}, read(t, days.CSV())["current_cut_h"])
	assert.Equal(t, []string{"0", "6", "6"}, read(t, days.CSV())["flat_h"])
}

// On a powered site the day's mains figure is what comes out of the charger and
// what goes straight to AC appliances.
func TestMainsOfADayHoldsTheTransfer(t *testing.T) {
	r := failing(t)
	r.Days[0].MainsBusWh, r.Days[0].TransferWh, r.Days[0].ACLoadWh = 300, 50, 50
	r.Total.MainsBusWh, r.Total.TransferWh = 300, 50
	days := Days(r, nil, DefaultFormat())
	assert.Equal(t, []string{"350", "0", "0"}, read(t, days.CSV())["mains_wh"])
	assert.Equal(t, []string{"530", "360", "360"}, read(t, days.CSV())["loads_wh"])
	assert.Regexp(t, `3 days +1,200 +350 `, days.Render(Screen{Width: 80, Format: DefaultFormat()}))
}

func TestEventsOfOneKindStandTogether(t *testing.T) {
	r := inventedRun(t).Results[1]
	assert.Equal(t, strings.Join([]string{
		"surge: Coffee machine starts with 2,300 W, beyond the inverter's surge of 2,000 W (2 times, first Tue 7 Oct, 07:00)",
		"charge refused: The battery refuses charge at −2 °C (Tue 7 Oct, 09:00)",
	}, "\n"), plain(joined(Events(r, DefaultFormat()))))
}

func TestFlatSpellsSayWhenAndWhy(t *testing.T) {
	r := failing(t)
	assert.Equal(t, "Wed 8 Oct, 00:00 to 06:00 (6 h), 120 Wh unserved. In the 24 h before, the appliances asked for 480 Wh (Fridge 400, Lights 80); no driving.", plain(FlatSpells(r, DefaultFormat())[0]))
	r.Flats[0].End = r.Flats[0].End.Add(20 * time.Hour)
	assert.Contains(t, plain(FlatSpells(r, DefaultFormat())[0]), "Wed 8 Oct, 00:00 to Thu 9 Oct, 02:00 (26 h)")
	r.Flats[1].End = tripEnd(r)
	assert.Contains(t, plain(FlatSpells(r, DefaultFormat())[1]), "Thu 9 Oct, 00:00 to the end of the trip (24 h)")
}

func TestClimateNotesNameSourceDistanceAndOwnFigures(t *testing.T) {
	r := failing(t)
	r.Climate[0].NearestKM, r.Climate[2].NearestKM = r.Climate[2].NearestKM, r.Climate[0].NearestKM
	r.Climate[2].Override = true
	assert.Equal(t, []string{"Climate: Invented climate. Nearest figures: 10 to 50 km. Accuracy: " + ClimateAccuracy + ".", "The trip's own figures are used at Todra."},
		[]string{plain(climateNotes(r, DefaultFormat())[0]), plain(climateNotes(r, DefaultFormat())[1])})
}
