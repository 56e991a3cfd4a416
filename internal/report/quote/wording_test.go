package quote

import (
	"fmt"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/chart"
	"tripsim/internal/report"
	"tripsim/internal/sim"
)

// spaced has plain spaces only.
func spaced(s string) string { return strings.ReplaceAll(s, "\u00a0", " ") }

// sectionOf is a section of a document.
func sectionOf(t *testing.T, d *Document, id string) *Section {
	for i := range d.Sections {
		if d.Sections[i].ID == id {
			return &d.Sections[i]
		}
	}
	require.Fail(t, "no section "+id)
	return nil
}

// wordsOf are all texts of a section.
func wordsOf(t *testing.T, d *Document, id string) string {
	page, err := (&Document{Sections: []Section{*sectionOf(t, d, id)}}).HTML()
	require.NoError(t, err)
	return htmlText(t, page)
}

// pictureNames are the pictures of a section.
func pictureNames(s *Section) (out []string) {
	for _, block := range s.Blocks {
		if p, ok := block.(Picture); ok {
			out = append(out, p.Drawing.Name)
		}
	}
	return out
}

// withResult is an input whose shown result is changed.
func withResult(t *testing.T, in *Input, change func(*sim.Result)) *Input {
	run := *in.Run
	_, shown := report.Recommend(run.Results, run.Risks, run.Goal)
	r := *run.Results[shown]
	r.Rows = append([]sim.Row(nil), r.Rows...)
	change(&r)
	run.Results = append([]*sim.Result(nil), run.Results...)
	run.Results[shown] = &r
	in.Run = &run
	return in
}

func TestCutOffThatRisesInTheColdIsToldWhereTheCutOffIs(t *testing.T) {
	in := withResult(t, holding(t), func(r *sim.Result) {
		r.Rows[3].FloorSoC, r.Rows[4].FloorSoC = r.MinSoC+0.04, r.MinSoC+0.13
	})
	d := build(t, in)
	const cutOff = "10\u00a0% (14 to 23\u00a0% in the cold of this trip)"
	holds(t, wordsOf(t, d, "recommendation"), "it would switch off at "+cutOff+".")
	for _, id := range []string{"systems", "days", "sources"} {
		holds(t, wordsOf(t, d, id), cutOff)
	}
	holds(t, wordsOf(t, build(t, holding(t)), "recommendation"), "it would switch off at 10\u00a0%.")
}

// Of a handful of trips nobody can say what 19 of 20 do.
func TestFewTripsAreNotSpokenOfInTwentieths(t *testing.T) {
	in := holding(t)
	run := *in.Run
	run.Risks = nil
	for _, k := range in.Run.Risks {
		run.Risks = append(run.Risks, &sim.Risk{
			System: k.System, Weather: k.Weather, Draws: 4, FlatDraws: min(4, k.FlatDraws), Flat: k.Flat, Short: k.Short, ByDay: k.ByDay,
			Bands: k.Bands, Reserve: k.Reserve, Unserved: k.Unserved, Spilled: k.Spilled, SourceWh: k.SourceWh,
		})
	}
	in.Run = &run
	d := build(t, in)
	assert.NotContains(t, wordsOf(t, d, "recommendation"), "19 of 20")
	assert.NotContains(t, wordsOf(t, d, "systems"), "19 of 20")
}

func TestReserveThatIsTooThinIsPartOfTheThreeSentences(t *testing.T) {
	in := holding(t)
	run := *in.Run
	run.Goal.Reserve = 0.95
	in.Run = &run
	box := build(t, in).Sections[0].Blocks[0].(Callout)
	text := box.Texts[0].String()
	assert.Contains(t, text, "where 95\u00a0points are wanted.")
	assert.Len(t, regexp.MustCompile(`[.] |[.]$`).FindAllString(text, -1), 3, text)
}

func TestAttributionsAndWarningsAreReadByCustomers(t *testing.T) {
	in := holding(t)
	run := *in.Run
	run.Sources = []string{"Time zones: invented list (ODbL)"}
	run.Warnings = []string{`trip.csv:2: latitude: "Camp" is far away`}
	in.Run = &run
	text := wordsOf(t, build(t, in), "sources")
	assert.Contains(t, text, "Time zones: invented list (ODbL).")
	assert.Contains(t, text, "“Camp” is far away")
}

func TestOneDayIsOneDate(t *testing.T) {
	b := newBuilder(withResult(t, holding(t), func(r *sim.Result) { r.Days = r.Days[:1] }))
	assert.NotContains(t, b.tripLine().String(), " to ")
}

func TestWeatherOfAFileIsNotCalledTypicalOrSimulated(t *testing.T) {
	file := report.Recorded{
		Name: "invented-station.csv", First: time.Date(2019, 1, 1, 0, 0, 0, 0, time.UTC),
		Last: time.Date(2020, 12, 31, 0, 0, 0, 0, time.UTC), Dates: true, Overlap: true,
	}
	for _, dates := range []bool{true, false} {
		for _, base := range []*Input{holding(t), flat(t)} {
			base = withResult(t, base, func(r *sim.Result) {
				if dates {
					r.Weather = "weather of 2019 in invented-station.csv"
				}
			})
			run, w := *base.Run, file
			w.Dates = dates
			run.Recorded = &w
			base.Run, base.Answers.Season = &run, nil
			d := build(t, base)
			page, err := d.HTML()
			require.NoError(t, err)
			text := htmlText(t, page)
			assert.NotContains(t, strings.ToLower(text), "simulated trip")
			assert.Equal(t, !dates, strings.Contains(text, "typical weather"), "typical weather")
			assert.Contains(t, text, "recorded trips")
			assert.Contains(t, text, "the interval is too narrow")
			first := ""
			for _, f := range d.Facts {
				if f.Label == labelWeather {
					first = spaced(f.Value.String())
				}
			}
			assert.Equal(t, "Recorded: invented-station.csv, 1 January 2019 to 31 December 2020.", first)
			assert.Contains(t, spaced(wordsOf(t, d, "sources")), "the recorded weather of invented-station.csv (1 January 2019 to 31 December 2020)")
		}
	}
}

// The pictures and the tables beside them write the same share alike.
func TestSharesAreWrittenAlikeInPicturesAndTables(t *testing.T) {
	f := report.DefaultFormat()
	for k := 0; k <= 1000; k += 5 {
		share := float64(k) / 1000
		p, err := chart.Vary(chart.Variation{Draws: 1000, Target: 0.05, Variations: []chart.VariedSystem{{
			Name:   "A",
			Points: []chart.VariedPoint{{Value: 1, NotCarried: sim.Proportion{Share: share, Low: share, High: share}}},
		}}})
		require.NoError(t, err)
		require.Contains(t, p.AltText, ": "+strings.ReplaceAll(f.Share(share), "\u00a0", " ")+" at", k)
	}
}

func TestChargersThatAllHoldNeedASentenceAndNoPicture(t *testing.T) {
	points := func(missed ...float64) *sim.Sizing {
		in := holding(t)
		z := *in.Answers.Chargers
		z.Points = append([]sim.SizePoint(nil), z.Points...)
		for i := range z.Points {
			z.Points[i].Failed, z.Points[i].Holds = sim.Proportion{Share: missed[i], Low: missed[i], High: missed[i]}, missed[i] <= 0.05
		}
		return &z
	}
	for _, row := range []struct {
		missed  []float64
		says    string
		picture bool
	}{
		{[]float64{0, 0, 0}, "Every size tried holds; 20\u00a0A would do.", false},
		{[]float64{0.04, 0.01, 0}, "Every size tried holds; 20\u00a0A would do.", true},
		{[]float64{0.2, 0.1, 0}, "is smaller or larger.", true},
		{[]float64{1, 1, 1}, "None of the sizes tried holds.", false},
	} {
		in := holding(t)
		in.Answers.Chargers = points(row.missed...)
		d := build(t, in)
		holds(t, wordsOf(t, d, "chargers"), row.says)
		assert.Equal(t, row.picture, len(pictureNames(sectionOf(t, d, "chargers"))) == 1, "%v", row.missed)
	}
}

func TestMapOfSizesWithNothingToShowIsASentence(t *testing.T) {
	with := func(share float64) *Document {
		in := holding(t)
		m := *in.Answers.Map
		m.Failed = nil
		for range m.Ah {
			line := make([]sim.Proportion, len(m.Sizes))
			for j := range line {
				line[j] = sim.Proportion{Share: share, Low: share, High: share}
			}
			m.Failed = append(m.Failed, line)
		}
		in.Answers.Map = &m
		return build(t, in)
	}
	none := with(0)
	holds(t, wordsOf(t, none, "sizing"), "Every pair of sizes tried holds, down to 60\u00a0Ah of battery with 10\u00a0A of charging current.")
	assert.Empty(t, pictureNames(sectionOf(t, none, "sizing")))
	all := with(1)
	holds(t, wordsOf(t, all, "sizing"), "None of the pairs of sizes tried holds, up to 300\u00a0Ah of battery with 40\u00a0A of charging current.")
	some := sectionOf(t, build(t, holding(t)), "sizing")
	require.Equal(t, []string{"size-map"}, pictureNames(some))
	for _, block := range some.Blocks {
		if p, ok := block.(Picture); ok {
			var texts []string
			for _, x := range p.Drawing.Structure().Texts {
				texts = append(texts, strings.ReplaceAll(x.Text, "\u00a0", " "))
			}
			assert.Contains(t, strings.Join(texts, "\n"), "as quoted")
			assert.Contains(t, texts, "battery, Ah", "the battery upwards")
		}
	}
}

func TestNumbersStayWithTheirUnits(t *testing.T) {
	torn := regexp.MustCompile(`[0-9°] (?:%|°|(?:°C|°F|[kM]?Wh|Ah|A|V|W|h|km|m|min|days?|points)\b)`)
	for _, in := range []*Input{holding(t), flat(t), long(t)} {
		build(t, in).eachText(func(x Text) {
			for _, span := range x {
				assert.NotRegexp(t, torn, span.S)
				assert.NotRegexp(t, `(^|[ (])-[0-9]`, span.S, "minus signs are true ones")
			}
		})
	}
}

func TestPlannedTimesKeepTheirQuartersOfAnHour(t *testing.T) {
	b := newBuilder(holding(t))
	for h, want := range map[float64]string{0.75: "0.75", 1: "1", 2.5: "2.5", 10.5: "10.5", 1.25: "1.25", 1.0 / 3: "0.33"} {
		assert.Equal(t, want+"\u00a0h", b.hours(h))
	}
}

func TestDaysOfUseStandWithTheAppliance(t *testing.T) {
	in := holding(t)
	in.Loads = append([]sim.Load(nil), in.Loads...)
	in.Loads[1].Days = sim.ParkedDays
	table := sectionOf(t, build(t, in), "appliances").Blocks[1].(*Table)
	assert.Contains(t, table.Rows[1].Cells[3].String(), "parked days only")
	for _, days := range []sim.DayMask{sim.DrivingDays, sim.ParkedDays, sim.OffGridDays, sim.MainsDays} {
		assert.Contains(t, dayWords[days], "only", fmt.Sprint(days))
	}
}

func TestWearSaysHowManyYearsTheCyclesLast(t *testing.T) {
	b := newBuilder(holding(t))
	for x, want := range map[float64]string{nan: "–", 3.26: "3.3", 23.4: "23", sim.MostLifeYears: "more than 50"} {
		assert.Equal(t, want, b.years(x))
	}
}

// An AC appliance may be left out for want of an inverter, of a large enough one,
// or of one that is on at the time.
func TestWhyAnApplianceIsLeftOutIsTold(t *testing.T) {
	for _, row := range []struct {
		ratedW float64
		mode   sim.InverterMode
		want   report.OutletLack
	}{
		{0, sim.InverterNeeded, report.NoInverter},
		{500, sim.InverterNeeded, report.SmallInverter},
		{1000, sim.InverterWindow, report.InverterOff},
		{500, sim.InverterWindow, report.SmallInverter},
	} {
		r := &sim.Result{System: &sim.System{InverterMode: row.mode}}
		r.System.Inverter.RatedW = row.ratedW
		assert.Equal(t, row.want, report.LackOf(r, &sim.LoadAccount{NoOutletWh: 20, PeakW: 800}), row)
	}
}
