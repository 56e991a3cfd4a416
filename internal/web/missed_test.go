package web

import (
	"context"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/report"
)

// thin is the shipped trip to Morocco with a reserve that a system which never
// runs flat hardly keeps.
func thin(t testing.TB) map[string][]byte {
	t.Helper()
	files := shipped(t, "morocco-october")
	job := strings.Replace(string(files["job.csv"]), "reserve_pct,5\n", "reserve_pct,28\n", 1)
	require.NotEqual(t, string(files["job.csv"]), job)
	files["job.csv"] = []byte(job)
	return files
}

// Where only the reserve is missing, the list shows why some changes are enough
// and others not: by trips not carried, in their order.
func TestTheListOfChangesShowsTripsNotCarried(t *testing.T) {
	const system, draws = "Touring 200 combined", 200
	cfg := configOf(t, "morocco-october")
	cfg.Files, cfg.Draws = thin(t), draws
	s, err := New(cfg)
	require.NoError(t, err)
	d, _, err := s.adviseOn(context.Background(), system)
	require.NoError(t, err)
	v := s.fixesOf(&d)
	require.NotNil(t, v)

	// The outside figure: trips counted one by one, from their states of charge.
	j, err := s.engine.begin(context.Background(), d.sc)
	require.NoError(t, err)
	missed := 0
	for k := range draws {
		r, err := j.study.RunDraw(&d.sc.Systems[d.at], uint64(k))
		require.NoError(t, err)
		least := 1.0
		for i := range r.Rows {
			least = math.Min(least, r.Rows[i].SoC-math.Max(r.MinSoC, r.Rows[i].FloorSoC))
		}
		require.Zero(t, r.FlatH)
		if least < 0.28 {
			missed++
		}
	}
	f := report.DefaultFormat()
	require.Positive(t, missed)
	assert.Equal(t, f.Share(float64(missed)/draws), v.Before)
	assert.Equal(t, f.Share(0), v.Flat)

	kinds, last := map[bool]int{}, -1.0
	for _, row := range v.Rows {
		share := d.adv.Fixes[row.Index].Risk.NotCarried(0.28).Share
		assert.Equal(t, f.Share(share), row.Missed, row.Text)
		assert.Equal(t, share <= 0.05, row.Holds, "the accepted risk of its job.csv is 5 %%: %s", row.Text)
		assert.GreaterOrEqual(t, share, last, "the order of the list is that of the figure: %s", row.Text)
		kinds[row.Holds]++
		last = share
	}
	assert.Positive(t, kinds[true])
	assert.Positive(t, kinds[false])

	var page strings.Builder
	require.NoError(t, templates.ExecuteTemplate(&page, "fixes", v))
	assert.Contains(t, page.String(), "not carried now "+v.Before+", flat risk "+v.Flat+"</small>")
	assert.Contains(t, page.String(), "or come closer than 28\u00a0points to the cut-off. ✓ marks changes that leave no more than the accepted 5\u00a0%.")
	assert.Contains(t, page.String(), `<th scope="col" class="num">Not carried</th>`)
	assert.NotContains(t, page.String(), "Flat risk</th>", "no trip runs flat: nothing to list")
	assert.NotContains(t, page.String(), "Not supplied", "everything is supplied: nothing to list")
}

// The systems side by side have a column of trips not carried where the command
// line's table has one.
func TestSystemsSideBySideShowTripsNotCarried(t *testing.T) {
	const heading = `>Not carried</th>`
	_, page, terminal := answerBeside(t, thin(t), 100)
	assert.Contains(t, terminal, "not carried")
	assert.Contains(t, page, heading)
	assert.Contains(t, page, `"Not carried" counts trips`)

	files := shipped(t, "morocco-october") // next to nothing to feed: no trip fails in any way
	files["loads.csv"] = []byte("name,kind,watts,hours\nLight,window,1,1\n")
	_, page, terminal = answerBeside(t, files, 100)
	assert.NotContains(t, terminal, "\"Not carried\" counts")
	assert.NotContains(t, page, heading, "it is the flat risk")
}

func TestAReserveIsSaidAsItWasWritten(t *testing.T) {
	f := report.DefaultFormat()
	for reserve, want := range map[float64]string{0.28: "28\u00a0points", 0.07: "7\u00a0points", 0.125: "12.5\u00a0points"} {
		assert.Contains(t, report.NotCarried(reserve, f), "closer than "+want+" to the cut-off")
	}
	assert.NotContains(t, report.NotCarried(0, f), "closer")
}

// The list of changes is seen whole on a telephone and a desk screen.
func TestTheListOfChangesFitsTheScreen(t *testing.T) {
	for name, files := range map[string]map[string][]byte{"Touring 200 combined": thin(t), "Entry 60": shipped(t, "morocco-october")} {
		url, _ := serve(t, "morocco-october", func(c *Config) { c.Files, c.Draws = files, 64 })
		for _, width := range []int64{390, 1280} {
			ctx := tab(t, width, 844)
			do(t, ctx, chromedp.Navigate(url+"?system="+strings.ReplaceAll(name, " ", "+")), answered, until(`document.querySelector("#fixes table")`))
			clipped := `[...document.querySelectorAll("#fixes .scroll, .systems")].filter((b) => b.scrollWidth > b.clientWidth).map((b) => b.className + " " + b.scrollWidth + " > " + b.clientWidth)`
			assert.Empty(t, get(t, ctx, js[[]string](clipped)), "%s at %d", name, width)
			assert.LessOrEqual(t, get(t, ctx, js[int64](`document.scrollingElement.scrollWidth`)), width, "%s at %d", name, width)
			do(t, ctx, eval(`document.querySelector("#fixes").scrollIntoView()`), chromedp.Sleep(200*time.Millisecond))
			shoot(t, ctx, strings.ReplaceAll(name, " ", "-"), width)
			do(t, ctx, eval(`document.querySelector(".systems").scrollIntoView()`), chromedp.Sleep(200*time.Millisecond))
			shoot(t, ctx, strings.ReplaceAll(name, " ", "-")+"-systems", width)
		}
	}
}
