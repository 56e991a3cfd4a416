package web

import (
	"context"
	"html"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/report"
	"tripsim/internal/scenario"
	"tripsim/internal/sim"
)

// answerBeside runs a scenario and returns the page's answer beside what the command
// line prints, on one line.
func answerBeside(t *testing.T, files map[string][]byte, draws int) (a *answer, page, terminal string) {
	t.Helper()
	sc, err := scenario.FromFiles("x", files)
	require.NoError(t, err)
	j, err := newEngine(sim.DefaultOptions(), draws, "test").begin(context.Background(), sc)
	require.NoError(t, err)
	require.NoError(t, j.draw(context.Background(), draws, nil))
	f := report.DefaultFormat()
	a, err = answerOf(j, f, "", 700)
	require.NoError(t, err)

	run := &report.Run{
		Scenario: sc.Name, Hash: sc.Hash, Program: "test", Options: sim.DefaultOptions(), Draws: draws, Results: j.results, Risks: j.risks,
		Goal: report.Goal{FlatRisk: sc.Job.TargetFlatRisk, Reserve: sc.Job.Reserve}, Sources: sc.Sources, Medical: report.MedicalOf(sc.Loads),
	}
	run.ChooseShown()
	return a, html.UnescapeString(a.HTML), oneLine(run.Text(report.Screen{Format: f}))
}

// without takes the rows of a table away that begin with a text.
func without(files map[string][]byte, name, start string) {
	lines := strings.SplitAfter(string(files[name]), "\n")
	files[name] = []byte(strings.Join(slices.DeleteFunc(lines, func(l string) bool { return strings.HasPrefix(l, start) }), ""))
}

// Whatever the answer over all systems is, page and command line say the same.
func TestTheHeadlineIsThatOfTheCommandLine(t *testing.T) {
	whole, part, none := shipped(t, "morocco-october"), shipped(t, "karoo-july"), shipped(t, "morocco-october")
	for _, name := range []string{"systems.csv", "chargers.csv", "panels.csv"} {
		without(part, name, "Touring")
		for _, start := range []string{"Touring", "Expedition", "Weekend"} {
			without(none, name, start)
		}
	}
	for want, files := range map[string]map[string][]byte{
		"is the smallest that carries this trip.": whole, "none feeds every appliance": part, "comes nearest": none,
	} {
		a, page, terminal := answerBeside(t, files, 100)
		headline := regexp.MustCompile(`<h2 class="headline">(.*?)</h2>`).FindStringSubmatch(page)
		require.Len(t, headline, 2, want)
		assert.Contains(t, headline[1], want)
		assert.Contains(t, terminal, oneLine(headline[1]))
		assert.True(t, strings.HasPrefix(a.Spoken, headline[1]))
	}
}

// oneLine takes line breaks and kinds of spaces out of a text.
func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

func TestThePageHasTheCautionsAndSourcesOfTheCommandLine(t *testing.T) {
	_, page, terminal := answerBeside(t, shipped(t, "karoo-july"), 50)
	for _, want := range []string{
		"Breathing aid: an appliance that somebody's health depends on needs an independent backup.",
		strings.TrimSuffix(scenario.ZoneSource, ".") + ".", // karoo-july leaves time_zone out
		"An estimate for planning, not a guarantee.",
	} {
		assert.Contains(t, terminal, want)
		assert.Contains(t, page, want)
	}
	_, page, _ = answerBeside(t, shipped(t, "morocco-october"), 0)
	assert.NotContains(t, page, "independent backup", "only where there is such an appliance")
}

// coldTrip is a trip at 30 degrees below zero, where a battery gives little of
// its charge.
func coldTrip() map[string][]byte {
	return map[string][]byte{
		"trip.csv":    []byte("date,days,place,latitude,longitude,time_zone,temp_min_c,temp_max_c\n2026-01-10,4,Camp,60,90,Asia/Krasnoyarsk,-30,-8\n"),
		"loads.csv":   []byte("name,kind,watts,start,hours\nLights,window,20,18:00,5\n"),
		"systems.csv": []byte("system,chemistry,battery_ah,min_soc_pct\nCold,lifepo4,100,10\n"),
	}
}

// The curve's cut-off is the one that applies in each hour.
func TestTheCurveDrawsTheCutOffInTheCold(t *testing.T) {
	sc, err := scenario.FromFiles("x", coldTrip())
	require.NoError(t, err)
	j, err := newEngine(sim.DefaultOptions(), 0, "test").begin(context.Background(), sc)
	require.NoError(t, err)
	r, f := j.results[0], report.DefaultFormat()
	said := report.CutOff(r, f)
	require.Contains(t, said, "in the cold of this trip")

	for _, width := range []float64{290, 900} {
		svg := html.UnescapeString(curveSVG(r, nil, f, width))
		assert.Contains(t, svg, "cut-off "+said+".", "the text for who cannot see the curve")
		assert.Equal(t, width == 900, strings.Contains(svg, ">cut-off "+said+"<"), "the label, where there is room")
		c := &curve{bottom: number(attribute(t, svg, "data-bottom"), 0, 1e4, 0)}
		left, right := number(attribute(t, svg, "data-left"), 0, 1e4, 0), number(attribute(t, svg, "data-right"), 0, 1e4, 0)
		drawn := regexp.MustCompile(`<path class="cutoff" d="M([\d.]+) ([\d.]+)((?:H[\d.]+V[\d.]+)*)H([\d.]+)"/>`).FindStringSubmatch(svg)
		require.NotNil(t, drawn)
		type turn struct{ x, y float64 }
		value := func(s string) float64 { v, err := strconv.ParseFloat(s, 64); require.NoError(t, err); return v }
		turns := []turn{{value(drawn[1]), value(drawn[2])}}
		for _, m := range regexp.MustCompile(`H([\d.]+)V([\d.]+)`).FindAllStringSubmatch(drawn[3], -1) {
			turns = append(turns, turn{value(m[1]), value(m[2])})
		}
		highest := 0.0
		for row := range r.Rows {
			x := left + (float64(row)+0.5)/float64(len(r.Rows))*(right-left)
			at := turns[0]
			for _, u := range turns {
				if u.x <= x {
					at = u
				}
			}
			floor := math.Max(r.MinSoC, r.Rows[row].FloorSoC)
			highest = math.Max(highest, floor)
			require.InDelta(t, c.bottom-floor*(c.bottom-curveTop), at.y, 1, "hour %v", float64(row)*r.Step.Hours())
		}
		assert.Greater(t, highest, 0.5)
	}
	_, page, _ := answerBeside(t, coldTrip(), 0)
	assert.Contains(t, page, "</svg>cut-off "+said+"</li>", "the key below the curve")
}

func attribute(t *testing.T, svg, name string) string {
	t.Helper()
	m := regexp.MustCompile(name + `="([^"]*)"`).FindStringSubmatch(svg)
	require.Len(t, m, 2, name)
	return m[1]
}

// The list of changes starts from the risk of the verdict: both rest on the same
// simulated trips, or the list says on how many.
func TestTheFixesRestOnTheTripsOfTheVerdict(t *testing.T) {
	at := func(draws int) (v *fixView, risk *sim.Risk) {
		cfg := configOf(t, "norway-september")
		cfg.Draws = draws
		s, err := New(cfg)
		require.NoError(t, err)
		sc, problems := s.doc.read()
		require.Empty(t, problems)
		d, _, err := s.adviseOn(context.Background(), sc.Systems[0].Name)
		require.NoError(t, err)
		j, err := s.engine.begin(context.Background(), sc)
		require.NoError(t, err)
		require.NoError(t, j.draw(context.Background(), draws, nil))
		return s.fixesOf(&d), j.risks[0]
	}
	const more = 700
	v, risk := at(more)
	assert.Equal(t, "700", v.Draws)
	assert.Empty(t, v.Of)
	assert.Equal(t, report.DefaultFormat().Share(risk.Flat.Share), v.Flat)
	assert.Equal(t, report.DefaultFormat().Share(risk.NotCarried(0.05).Share), v.Before, "the reserve of its job.csv is 5 %")

	long := &job{e: &engine{draws: 5000, opt: sim.DefaultOptions()}, sc: &scenario.Scenario{}}
	long.sc.Trip.Stops = []sim.Stop{{Days: 365}}
	assert.Equal(t, leastFixDraws, long.fixDraws(), "a year is tried on fewer")
	var page strings.Builder
	v.Of, v.Draws, v.Before = "5,000", "300", "12 %"
	require.NoError(t, templates.ExecuteTemplate(&page, "fixes", v))
	assert.Contains(t, page.String(), "300 of the 5,000 simulated trips only; not carried now 12 %, flat risk ")
}
