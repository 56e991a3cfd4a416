package web

import (
	"context"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/report"
	"tripsim/internal/report/quote"
	"tripsim/internal/scenario"
)

const (
	verdictText = `document.querySelector("#answer-body .verdict").innerText`
	firstStop   = `#panel-trip [data-column="days"]`
	capacity    = `#panel-systems [data-column="battery_ah"]`
)

// whenVerdict waits for a verdict of a kind: good, look or bad.
func whenVerdict(mark string) step {
	return until(`document.querySelector("#answer-body .verdict-` + mark + `")`)
}

func download(t *testing.T, url string) []byte {
	t.Helper()
	r, err := http.Get(url)
	require.NoError(t, err)
	defer r.Body.Close()
	require.Equal(t, 200, r.StatusCode)
	data, err := io.ReadAll(r.Body)
	require.NoError(t, err)
	return data
}

func TestTheVerdictFollowsAnEdit(t *testing.T) {
	url, _ := serve(t, "morocco-october", nil)
	ctx := tab(t, 1280, 900)
	do(t, ctx, chromedp.Navigate(url), answered)
	before := get(t, ctx, js[string](verdictText))
	assert.Contains(t, before, "Touring 200 combined")
	do(t, ctx, click("#tab-systems"), write(capacity, "20"), whenVerdict("bad"), answered)
	assert.Contains(t, get(t, ctx, js[string](verdictText)), "runs flat")
	assert.Contains(t, get(t, ctx, js[string](verdictText)), "20\u00a0Ah")
	do(t, ctx, until(`document.querySelector("#fixes table")`))
	assert.Contains(t, get(t, ctx, js[string](`document.querySelector("#fixes").innerText`)), "battery of")

	do(t, ctx, key("z", chromedp.ModifierCtrl), whenVerdict("good"), answered)
	assert.Equal(t, before, get(t, ctx, js[string](verdictText)), "undo gives the old answer back")
	do(t, ctx, key("y", chromedp.ModifierCtrl), whenVerdict("bad"), answered)
	assert.Equal(t, "20", get(t, ctx, chromedp.Value(chromedp.CSS(capacity))))
	do(t, ctx, chromedp.Navigate(url+"?system=Touring+200+combined"), answered)
	assert.Contains(t, get(t, ctx, js[string](verdictText)), "20\u00a0Ah", "a closed page loses nothing")
	foreign := `performance.getEntriesByType("resource").filter((r) => !r.name.startsWith(location.origin)).map((r) => r.name)`
	assert.Empty(t, get(t, ctx, js[[]string](foreign)), "nothing is asked of another machine")
}

func TestAWrongValueIsToldBesideItsCell(t *testing.T) {
	url, s := serve(t, "morocco-october", nil)
	ctx := tab(t, 1280, 900)
	do(t, ctx, chromedp.Navigate(url), answered, write(firstStop, "x"), until(`document.body.dataset.state === "wrong"`))
	_, problems := latest(s).read()
	require.Len(t, problems, 1)
	beside := `(() => { const i = document.querySelector('` + firstStop + `');
		return [i.getAttribute("aria-invalid"), i.getAttribute("aria-describedby").split(" ").map((id) => document.getElementById(id).innerText).join("|"),
			String(i.closest("tbody").querySelector(".err").getBoundingClientRect().top - i.getBoundingClientRect().bottom < 60),
			document.querySelector("#tab-trip .count").innerText]; })()`
	got := get(t, ctx, js[[]string](beside))
	assert.Equal(t, "true", got[0])
	assert.Contains(t, got[1], problems[0].Text, "the words of the command line")
	assert.Equal(t, "true", got[2], "it stands near")
	assert.Equal(t, "1", got[3])
	do(t, ctx, write(firstStop, "2"), answered)
	assert.Zero(t, get(t, ctx, js[int](`document.querySelectorAll(".err, [aria-invalid]").length`)))
}

func TestRowsAreAddedCopiedMovedAndDeleted(t *testing.T) {
	url, s := serve(t, "morocco-october", func(c *Config) { c.Draws = 32 })
	ctx := tab(t, 1280, 900)
	names := func() []string {
		_, lines := post(t, url, question{Client: "looker"})
		require.Equal(t, "answer", lines[len(lines)-1]["kind"])
		sc, _ := latest(s).read()
		var out []string
		for _, l := range sc.Loads {
			out = append(out, l.Name)
		}
		return out
	}
	do(t, ctx, chromedp.Navigate(url), answered, click("#tab-loads"), click(`[data-do="parts-load"]`), key("reading"),
		click(`[data-part="led_reading"]`), answered)
	assert.Equal(t, "LED reading light", names()[10])
	do(t, ctx, click(`#panel-loads tbody [data-do="more"]`), click(`#panel-loads [data-do="down"]`), answered, chromedp.Sleep(300*time.Millisecond), answered)
	assert.Equal(t, []string{"Fridge 60 l", "LED lights"}, names()[:2])
	do(t, ctx, click(`#panel-loads [data-do="copy"]`), chromedp.Sleep(300*time.Millisecond), answered)
	assert.Equal(t, []string{"Fridge 60 l", "LED lights", "LED lights 2"}, names()[:3])
	do(t, ctx, click(`#panel-loads [data-do="delete"]`), chromedp.Sleep(300*time.Millisecond), answered)
	assert.Equal(t, []string{"Fridge 60 l", "LED lights 2", "Water pump"}, names()[:3])
	do(t, ctx, click("#tab-systems"), click(`[data-do="system-copy"]`), chromedp.Sleep(300*time.Millisecond), answered)
	sc, problems := latest(s).read()
	require.Empty(t, problems)
	require.Len(t, sc.Systems, 8)
	copied := sc.Systems[6]
	assert.Equal(t, "Touring 200 combined copy", copied.Name)
	assert.Len(t, copied.Chargers, 1, "its chargers come along")
	assert.Len(t, copied.Panels, 1)
	do(t, ctx, write(`#panel-systems [data-column="system"]`, "Weekend 100 b"), chromedp.Sleep(500*time.Millisecond), answered)
	sc, problems = latest(s).read()
	require.Empty(t, problems, "a name that is another's while half typed mixes nothing up")
	assert.Equal(t, "Weekend 100 b", sc.Systems[6].Name)
	assert.Len(t, sc.Systems[6].Chargers, 1)
	assert.Len(t, sc.Systems[2].Chargers, 1)
	do(t, ctx, write(`#panel-systems [data-column="charger"]`, "Box"), chromedp.Sleep(500*time.Millisecond), answered)
	sc, problems = latest(s).read()
	require.Empty(t, problems, "panels follow the name of their unit")
	assert.Equal(t, "Box", sc.Systems[6].Chargers[0].Name)
}

func TestAStopIsPlacedOnTheMap(t *testing.T) {
	url, s := serve(t, "norway-september", func(c *Config) { c.Draws = 32 })
	ctx := tab(t, 1280, 900)
	do(t, ctx, chromedp.Navigate(url), answered, until(`document.querySelectorAll(".m-name").length > 5`), chromedp.Sleep(500*time.Millisecond),
		click(".map svg"), chromedp.Sleep(300*time.Millisecond))
	assert.Zero(t, s.rev, "a click with no stop chosen changes nothing")
	do(t, ctx,
		eval(`document.querySelector('.map-place select').value = document.querySelectorAll('.map-place option')[1].value`),
		click(".map svg"), chromedp.Sleep(400*time.Millisecond), answered)
	sc, problems := latest(s).read()
	require.Empty(t, problems)
	p := sc.Trip.Stops[0].Position
	assert.InDelta(t, 66.5, p.LatDeg, 0.7, "the middle of the trip's map") // between 63.4 and 69.7 degrees
	assert.InDelta(t, 15.5, p.LonDeg, 1.5)
	do(t, ctx, chromedp.Focus(chromedp.CSS(".map svg")), key(kb.ArrowRight), key(kb.ArrowRight), key(kb.Enter), chromedp.Sleep(400*time.Millisecond), answered)
	moved, problems := latest(s).read()
	require.Empty(t, problems)
	assert.Greater(t, moved.Trip.Stops[0].Position.LonDeg, p.LonDeg, "and by keyboard")
	assert.Contains(t, get(t, ctx, js[string](`document.querySelector("#panel-trip .facts").innerText`)), "kWh/m²")
}

func TestTheQuoteIsMadeOfWhatThePageShows(t *testing.T) {
	made := make(chan *report.Run, 1)
	url, _ := serve(t, "norway-september", func(c *Config) {
		c.Draws = 64
		c.Quote = func(_ context.Context, sc *scenario.Scenario, run *report.Run) (page, pdf []byte, err error) {
			made <- run
			doc, err := quote.Build(&quote.Input{
				Run: run, Loads: sc.Loads, Date: time.Date(2026, 5, 1, 0, 0, 0, 0, time.UTC), Format: c.Format,
				Sections: []string{},
			})
			if err != nil {
				return nil, nil, err
			}
			if page, err = doc.HTML(); err != nil {
				return nil, nil, err
			}
			pdf, err = doc.PDF()
			return page, pdf, err
		}
	})
	ctx := tab(t, 1280, 900)
	do(t, ctx, chromedp.Navigate(url), answered, click("#tab-job"), write(`#panel-job [data-column="customer"]`, "Customer Z"),
		click(`[data-tool="quote"]`), until(`document.body.dataset.quote === "made"`))
	run := <-made
	assert.Equal(t, "Customer Z", run.Customer, "the last key pressed counts")
	assert.Equal(t, 64, run.Draws)
	pdf := download(t, url+"quote.pdf")
	assert.Equal(t, "%PDF-", string(pdf[:5]))
	<-made
	r, err := http.Get(url + "quote.html")
	require.NoError(t, err)
	defer r.Body.Close()
	assert.Contains(t, r.Header.Get("Content-Security-Policy"), "sandbox")
	assert.NotContains(t, r.Header.Get("Content-Security-Policy"), "script")
}

func TestExportAndImportInABrowser(t *testing.T) {
	url, s := serve(t, "karoo-july", func(c *Config) { c.Draws = 32 })
	start := download(t, url+"export.zip")
	files, _, err := unpack(start)
	require.NoError(t, err)
	assert.Equal(t, shipped(t, "karoo-july"), files)
	path := filepath.Join(t.TempDir(), "trip.zip")
	require.NoError(t, os.WriteFile(path, start, 0o600))

	ctx := tab(t, 1280, 900)
	do(t, ctx, chromedp.Navigate(url), answered, write(firstStop, "3"), chromedp.Sleep(300*time.Millisecond), answered)
	assert.NotEqual(t, start, download(t, url+"export.zip"))
	do(t, ctx, chromedp.SetUploadFiles(chromedp.CSS("#import-file"), []string{path}),
		until(`document.querySelector('`+firstStop+`').value === "1"`), answered)
	assert.Equal(t, start, download(t, url+"export.zip"), "what was taken in goes out again byte for byte")
	assert.Equal(t, "karoo-july", latest(s).name)
}

// An import is one step, which undo takes back to the last edit, and with --write
// the folder follows.
func TestAnImportIsUndoneAsOneStep(t *testing.T) {
	dir := t.TempDir()
	for name, data := range shipped(t, "karoo-july") {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), data, 0o644))
	}
	url, s := serve(t, "karoo-july", func(c *Config) { c.Dir, c.Write, c.Draws = dir, true, 32 })
	archive, err := pack("norway", shipped(t, "norway-september"))
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), "trip.zip")
	require.NoError(t, os.WriteFile(path, archive, 0o600))
	undo := `document.querySelector('[data-tool="undo"]')`
	stops := func(n int) step {
		return until(fmt.Sprintf(`document.querySelectorAll('#panel-trip [data-column="place"]').length === %d`, n))
	}

	ctx := tab(t, 1280, 900)
	do(t, ctx, chromedp.Navigate(url), answered)
	before := len(latest(s).now["trip.csv"].Rows)
	do(t, ctx, write(firstStop, "3"), chromedp.Sleep(300*time.Millisecond), answered)
	edited := latest(s).files
	imported := len(shippedTrip(t, "norway-september"))
	require.NotEqual(t, before, imported)
	do(t, ctx, chromedp.SetUploadFiles(chromedp.CSS("#import-file"), []string{path}), stops(imported), chromedp.Sleep(300*time.Millisecond), answered)
	assert.Equal(t, shipped(t, "norway-september"), latest(s).files)
	assert.Equal(t, string(shipped(t, "norway-september")["trip.csv"]), inFolder(t, dir)["trip.csv"])
	assert.False(t, get(t, ctx, js[bool](undo+`.disabled`)))
	assert.Equal(t, "norway", latest(s).name)

	do(t, ctx, eval(undo+`.click()`), stops(before), chromedp.Sleep(300*time.Millisecond), answered)
	assert.Equal(t, "3", get(t, ctx, chromedp.Value(chromedp.CSS(firstStop))), "the edit before the import is back")
	assert.Equal(t, edited, latest(s).files)
	assert.Equal(t, "karoo-july", latest(s).name)
	for name, data := range edited {
		assert.Equal(t, string(data), inFolder(t, dir)[name])
	}
	do(t, ctx, eval(undo+`.click()`), chromedp.Sleep(300*time.Millisecond), answered)
	assert.Equal(t, shipped(t, "karoo-july"), latest(s).files, "and the edit itself can be undone, byte for byte")
	do(t, ctx, key("y", chromedp.ModifierCtrl), key("y", chromedp.ModifierCtrl), stops(imported), chromedp.Sleep(300*time.Millisecond), answered)
	assert.Equal(t, shipped(t, "norway-september"), latest(s).files)
}

// shippedTrip is the rows of a shipped scenario's trip.
func shippedTrip(t *testing.T, name string) []scenario.Row {
	tables, problems := scenario.Parse(shipped(t, name))
	require.Empty(t, problems)
	return tables["trip.csv"].Rows
}

func TestEditsAreSavedOnlyWhenAskedFor(t *testing.T) {
	dir := t.TempDir()
	for name, data := range shipped(t, "karoo-july") {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), data, 0o644))
	}
	url, _ := serve(t, "karoo-july", func(c *Config) { c.Dir, c.Write, c.Draws = dir, true, 32 })
	ctx := tab(t, 1280, 900)
	do(t, ctx, chromedp.Navigate(url), answered, write(firstStop, "x"), until(`document.body.dataset.state === "wrong"`))
	assert.Contains(t, get(t, ctx, js[string](`document.querySelector("#saved").innerText`)), "mistakes")
	assert.NoFileExists(t, filepath.Join(dir, "trip.csv.bak"))
	do(t, ctx, write(firstStop, "2"), answered)
	sc, err := scenario.Load(dir)
	require.NoError(t, err)
	assert.Equal(t, 2, sc.Trip.Stops[0].Days)
	backup, err := os.ReadFile(filepath.Join(dir, "trip.csv.bak"))
	require.NoError(t, err)
	assert.Equal(t, string(shipped(t, "karoo-july")["trip.csv"]), string(backup))
}

// focused tells what has the focus, and whether that can be seen.
const focused = `(() => { const e = document.activeElement, s = getComputedStyle(e);
	return [e.dataset.column || e.id || e.dataset.do || e.dataset.tool || e.getAttribute("class") || e.tagName, String(s.outlineStyle !== "none" && parseFloat(s.outlineWidth) >= 2)]; })()`

func TestEverythingWorksByKeyboard(t *testing.T) {
	url, s := serve(t, "morocco-october", func(c *Config) { c.Draws = 32 })
	ctx := tab(t, 1280, 900)
	do(t, ctx, chromedp.Navigate(url), answered)
	seen := map[string]bool{}
	to := func(what string) {
		t.Helper()
		for range 90 {
			do(t, ctx, key(kb.Tab))
			at := get(t, ctx, js[[]string](focused))
			require.Equal(t, "true", at[1], "the focus on %s can be seen", at[0])
			seen[at[0]] = true
			if at[0] == what {
				return
			}
		}
		t.Fatalf("Tab never comes to %s, only to %v", what, seen)
	}
	to("skip")
	to("import")
	to("tab-trip")
	do(t, ctx, key(kb.ArrowRight), key(kb.ArrowRight))
	assert.Equal(t, "tab-systems", get(t, ctx, js[[]string](focused))[0])
	to("battery_ah")
	do(t, ctx, key("a", chromedp.ModifierCtrl), key("20"), whenVerdict("bad"), answered)
	to("reading")
	do(t, ctx, key(kb.End), key(kb.ArrowLeft))
	assert.Contains(t, get(t, ctx, js[string](`document.querySelector("#reading").getAttribute("aria-valuetext")`)), "Fri 16 Oct, 22:00")
	do(t, ctx, click("#tab-trip"), chromedp.Focus(chromedp.CSS(`#panel-trip [data-column="place"]`)), key(kb.ArrowDown, chromedp.ModifierAlt),
		chromedp.Sleep(300*time.Millisecond))
	sheet := latest(s).now["trip.csv"]
	assert.Equal(t, "Agadir", sheet.Rows[1].Cells[2], "Alt and an arrow move a row")
	assert.Equal(t, "place", get(t, ctx, js[[]string](focused))[0], "and the focus with it")
}

// Every control has a name, every text enough contrast, in light and dark: WCAG
// 2.2, success criteria 4.1.2 and 1.4.3 (4.5:1; 3:1 for large text).
func TestNamesAndContrast(t *testing.T) {
	url, _ := serve(t, "morocco-october", func(c *Config) { c.Draws = 64 })
	script, err := os.ReadFile("testdata/contrast.js")
	require.NoError(t, err)
	for _, theme := range []string{"light", "dark"} {
		ctx := tab(t, 1280, 900)
		do(t, ctx, prefers(theme), chromedp.Navigate(url+"?system=Entry+60"), answered, until(`document.querySelector("#fixes table")`))
		for _, part := range []string{"trip", "loads", "systems", "job"} {
			do(t, ctx, click("#tab-"+part), click("#panel-"+part+` [data-do="more"], #panel-`+part+` details.more summary`), chromedp.Sleep(300*time.Millisecond))
			assert.Empty(t, get(t, ctx, js[[]string](string(script))), "%s, %s", theme, part)
		}
		do(t, ctx, click("#tab-trip"), write(firstStop, "x"), until(`document.body.dataset.state === "wrong"`))
		assert.Empty(t, get(t, ctx, js[[]string](string(script))), "%s, with a mistake", theme)
		do(t, ctx, key("z", chromedp.ModifierCtrl), answered)
	}
}

// Nothing sticks out sideways on a telephone or a desk screen: WCAG 2.2, 1.4.10.
func TestNothingSticksOut(t *testing.T) {
	url, _ := serve(t, "morocco-october", func(c *Config) { c.Draws = 32 })
	for _, width := range []int64{320, 390, 1280, 1920} {
		ctx := tab(t, width, 844)
		do(t, ctx, chromedp.Navigate(url), answered)
		parts := []string{"trip", "loads", "systems", "job"}
		if width < 1180 {
			parts = append(parts, "answer")
		}
		for _, part := range parts {
			do(t, ctx, eval(`document.querySelector("#tab-`+part+`").click()`), chromedp.Sleep(250*time.Millisecond))
			assert.LessOrEqual(t, get(t, ctx, js[int64](`document.scrollingElement.scrollWidth`)), width, "%s at %d", part, width)
		}
	}
}
