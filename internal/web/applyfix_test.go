package web

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/report"
	"tripsim/internal/sim"
	"tripsim/scenarios"
)

// testDraws is how many simulated trips a change is tried on here.
const testDraws = 40

// replaced is a shipped scenario with some of its cells changed.
func replaced(t testing.TB, name, file string, oldNew ...string) map[string][]byte {
	t.Helper()
	files := shipped(t, name)
	for i := 0; i < len(oldNew); i += 2 {
		require.Contains(t, string(files[file]), oldNew[i])
	}
	files[file] = []byte(strings.NewReplacer(oldNew...).Replace(string(files[file])))
	return files
}

// Each change that the page offers to make gives, read again from the edited
// tables and run on the same draws, the very risk that was shown beside it.
func TestAnAppliedFixGivesTheRiskThatWasShown(t *testing.T) {
	cases := map[string]map[string][]byte{
		"thirsty": replaced(t, "morocco-october", systemsFile,
			"Entry 60,lifepo4,60,1,10,100", "Entry 60,lifepo4,60,1,10,70",
			"Weekend 100 with inverter,lifepo4,100,1,10,100,1000,2000,9,needed", "Weekend 100 with inverter,lifepo4,30,1,10,100,1000,2000,9,always"),
		"no unit at all": replaced(t, "morocco-october", unitsFile, "Entry 60,DC charger 20 A,20,,,,92,1\n", ""),
		"limits given": replaced(t, "patagonia-march", systemsFile, "battery_ah,batteries", "max_charge_a,battery_ah,batteries",
			"Portable pack 80,lifepo4,80", "Portable pack 80,lifepo4,40,80", "Entry 60,lifepo4,60", "Entry 60,lifepo4,20,60",
			"Weekend 100 with inverter,lifepo4,100", "Weekend 100 with inverter,lifepo4,,100", "Touring 200 combined,lifepo4,200", "Touring 200 combined,lifepo4,,200"),
	}
	for _, name := range scenarios.Names() {
		cases[name] = shipped(t, name)
	}
	applied := map[sim.FixKind]int{}
	for name, files := range cases {
		t.Run(name, func(t *testing.T) {
			cfg := configOf(t, "morocco-october")
			cfg.Name, cfg.Files, cfg.Draws = name, files, testDraws
			s, err := New(cfg)
			require.NoError(t, err)
			sc, problems := s.doc.read()
			require.Empty(t, problems)
			for at := range sc.Systems {
				d, _, err := s.adviseOn(context.Background(), sc.Systems[at].Name)
				require.NoError(t, err)
				for i := range d.adv.Fixes {
					applyAndRun(t, s, &d, &d.adv.Fixes[i], applied)
				}
			}
		})
	}
	for _, kind := range []sim.FixKind{
		sim.MoreDriving, sim.PoweredNight, sim.PortablePanel, sim.LargerCharger, sim.LargerBattery, sim.WarmerFridge,
		sim.InverterOffAtNight, sim.InverterWhenNeeded, sim.WithoutLoad, sim.FullStart, sim.BatteryHeater,
	} {
		assert.Positive(t, applied[kind], "%s: tried and applied", kind)
	}
	t.Log(applied)
}

func applyAndRun(t *testing.T, s *Server, d *advised, x *sim.Fix, applied map[sim.FixKind]int) {
	what := d.sc.Systems[d.at].Name + ": " + report.FixText(x, s.cfg.Format)
	before := sheetsText(t, d.doc.now)
	tables, ok := s.applyFix(d.doc, d.sc, d.at, x)
	assert.Equal(t, before, sheetsText(t, d.doc.now), "the document itself stays: %s", what)
	trip, loads, system := x.Changed()
	if !assert.True(t, ok, "the tables can say it: %s", what) {
		return
	}
	all := sheets{}
	for file, table := range d.doc.now {
		all[file] = table
	}
	for file, table := range tables {
		all[file] = table
	}
	made, err := d.doc.edited(all)
	require.NoError(t, err)
	read, problems := made.read()
	require.Empty(t, problems, what)
	got, want := riskOf(t, s, d, &read.Trip, read.Loads, &read.Systems[d.at]), x.Risk
	if x.Kind == sim.MoreDriving {
		// Tried under the sky of the trip as it is; an hour more on the way, and
		// with it the air there, is a little different on a trip of its own.
		assert.InDelta(t, want.Flat.Share, got.Flat.Share, 0.05, what)
		want = riskOf(t, s, d, trip, loads, system)
	}
	assert.Equal(t, want.FlatDraws, got.FlatDraws, what)
	assert.InDelta(t, want.Unserved.Mean, got.Unserved.Mean, 1e-4, what)
	for i := range read.Systems { // no other system has changed
		if i != d.at {
			assert.True(t, same(&d.sc.Systems[i], &read.Systems[i]), what)
		}
	}
	applied[x.Kind]++
}

func riskOf(t *testing.T, s *Server, d *advised, trip *sim.Trip, loads []sim.Load, system *sim.System) *sim.Risk {
	study, err := sim.NewStudy(trip, loads, s.cfg.Options)
	require.NoError(t, err)
	risks, err := study.Ensemble(context.Background(), []*sim.System{system}, d.adv.Draws, nil)
	require.NoError(t, err)
	return risks[0]
}

func sheetsText(t *testing.T, s sheets) string {
	text, err := json.Marshal(s)
	require.NoError(t, err)
	return string(text)
}

// What the tables cannot say as it was tried gets no button.
func TestAFixThatTheTablesCannotSayIsNotApplied(t *testing.T) {
	cfg := configOf(t, "morocco-october")
	cfg.Draws, cfg.Options.UseSpread = testDraws, 0.2 // the draws of use go by the place in the list of appliances
	s, err := New(cfg)
	require.NoError(t, err)
	d, _, err := s.adviseOn(context.Background(), "Entry 60")
	require.NoError(t, err)
	seen := 0
	for _, row := range s.fixesOf(&d).Rows {
		without := d.adv.Fixes[row.Index].Kind == sim.WithoutLoad
		assert.Equal(t, !without, row.Applies, row.Text)
		if without {
			seen++
		}
	}
	assert.Positive(t, seen)
	x := d.adv.Fixes[slices.IndexFunc(d.adv.Fixes, func(x sim.Fix) bool { return x.Kind == sim.PoweredNight })]
	x.Kind = sim.FullStart // says another change than was tried
	_, ok := s.applyFix(d.doc, d.sc, d.at, &x)
	assert.False(t, ok)
}

func TestARowOfSeveralDaysIsSplitForAFix(t *testing.T) {
	files := replaced(t, "patagonia-march", tripFile, ",3,Torres del Paine", ",5,Torres del Paine")
	doc, err := openDocument("x", files)
	require.NoError(t, err)
	sc, problems := doc.read()
	require.Empty(t, problems)
	e := &fixEdit{doc, sc, 0, sheets{}}
	row := e.split(2, 3, 1)
	assert.Equal(t, 3, row)
	var days []string
	for i := 2; i <= 5; i++ {
		days = append(days, e.cell(tripFile, i, "days"))
		assert.Equal(t, i == 2, e.table(tripFile).Rows[i].From == 2, "the first keeps its bytes")
	}
	assert.Equal(t, []string{"3", "1", "1", "1"}, days)
	assert.Equal(t, "Torres del Paine", e.cell(tripFile, 4, "place"))
	assert.Equal(t, "El Calafate", e.cell(tripFile, 5, "place"))
}

func TestFixesAreAskedForByRevision(t *testing.T) {
	url, s := serve(t, "morocco-october", func(c *Config) { c.Draws = testDraws })
	ask := func(q any, origin string) (int, map[string]any) {
		body, err := json.Marshal(q)
		require.NoError(t, err)
		r, err := http.NewRequest(http.MethodPost, url+"api/fix", bytes.NewReader(body))
		require.NoError(t, err)
		r.Header.Set("Content-Type", "application/json")
		if origin != "" {
			r.Header.Set("Origin", origin)
		}
		answer, err := http.DefaultClient.Do(r)
		require.NoError(t, err)
		defer answer.Body.Close()
		text, err := io.ReadAll(answer.Body)
		require.NoError(t, err)
		var v map[string]any
		_ = json.Unmarshal(text, &v) // the guard refuses in plain text
		return answer.StatusCode, v
	}
	good := fixQuestion{Rev: 0, System: "Entry 60", Fix: 0}
	status, got := ask(good, "")
	require.Equal(t, 200, status, got)
	assert.NotEmpty(t, got["tables"])
	assert.NotEmpty(t, got["text"])
	assert.False(t, latest(s).changedFrom(s.start), "the page makes the edit, not this request")
	for name, q := range map[string]any{
		"another revision": fixQuestion{Rev: 7, System: "Entry 60"}, "no such change": fixQuestion{System: "Entry 60", Fix: 99},
		"below the list": fixQuestion{System: "Entry 60", Fix: -1},
	} {
		status, got = ask(q, "")
		assert.Equal(t, http.StatusConflict, status, name)
		assert.NotEmpty(t, got["error"], name)
	}
	status, _ = ask(fixQuestion{System: "no such system"}, "")
	assert.Equal(t, http.StatusNotFound, status)
	status, _ = ask("text", "")
	assert.Equal(t, http.StatusBadRequest, status)
	status, _ = ask(good, "http://elsewhere.example")
	assert.Equal(t, http.StatusForbidden, status, "from another page")
	r, err := http.Post(url+"api/fix", "text/plain", strings.NewReader("{}"))
	require.NoError(t, err)
	r.Body.Close()
	assert.Equal(t, http.StatusUnsupportedMediaType, r.StatusCode)
}
