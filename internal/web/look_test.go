package web

import (
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A change that would fix the trip is an edit like any other: the answer and the
// tables follow, and undo takes it back.
func TestAFixIsAppliedAndTakenBack(t *testing.T) {
	for _, width := range []int64{390, 1280} {
		url, s := serve(t, "morocco-october", func(c *Config) { c.Draws = 64 })
		ctx := tab(t, width, 844)
		do(t, ctx, chromedp.Navigate(url+"?system=Entry+60"), answered, until(`document.querySelector("#fixes [data-fix]")`))
		before := get(t, ctx, js[string](verdictText))
		larger := `[...document.querySelectorAll("#fixes [data-fix]")].find((b) => b.getAttribute("aria-label").includes("75"))`
		assert.Equal(t, "Apply: a battery of 75\u00a0Ah instead of 60\u00a0Ah", get(t, ctx, js[string](larger+`.getAttribute("aria-label")`)))
		assert.LessOrEqual(t, get(t, ctx, js[float64](larger+`.getBoundingClientRect().right`)), float64(width), "within the screen")
		do(t, ctx, eval(larger+`.focus()`), key(kb.Enter), until(`document.querySelector("#notice.made")`), until(`!document.querySelector("#answer-body").classList.contains("stale")`),
			chromedp.Sleep(300*time.Millisecond), answered)
		sc, problems := latest(s).read()
		require.Empty(t, problems)
		assert.Equal(t, 75.0, sc.Systems[0].Battery.CapacityAh)
		assert.Contains(t, get(t, ctx, js[string](verdictText)), "75\u00a0Ah")
		at := get(t, ctx, js[[]string](focused))
		assert.Equal(t, []string{"take-back", "true"}, at, "the focus is where it can be taken back")
		if width > 1000 {
			assert.Equal(t, "75", get(t, ctx, chromedp.Value(chromedp.CSS(capacity))), "the table shows it")
		}
		do(t, ctx, key(kb.Enter), chromedp.Sleep(300*time.Millisecond), answered)
		assert.Equal(t, before, get(t, ctx, js[string](verdictText)))
		assert.False(t, latest(s).changedFrom(s.start))
	}
}

// Every stop's number is on the map, and no label on another.
func TestTheMapNumbersEveryStop(t *testing.T) {
	for _, name := range []string{"morocco-october", "patagonia-march", "norway-september", "altiplano-june"} {
		url, s := serve(t, name, func(c *Config) { c.Draws = 16 })
		for _, width := range []int64{390, 1280} {
			ctx := tab(t, width, 844)
			do(t, ctx, chromedp.Navigate(url), answered, eval(`document.querySelector("#tab-trip").click()`), until(`document.querySelector(".m-name")`), chromedp.Sleep(700*time.Millisecond))
			numbers := `[...document.querySelectorAll(".m-name")].flatMap((t) => t.textContent.match(/^[\d, ]*\d/)[0].split(", ").map(Number)).sort((a, b) => a - b)`
			var want []int
			for i := range latest(s).now[tripFile].Rows {
				want = append(want, i+1)
			}
			assert.Equal(t, want, get(t, ctx, js[[]int](numbers)), "%s at %d", name, width)
			clashes := `(() => { const b = [...document.querySelectorAll(".m-name")].map((t) => [t.textContent, t.getBoundingClientRect()]), out = [];
				b.forEach(([n, p], i) => b.slice(i + 1).forEach(([m, q]) => { if (p.left < q.right - 2 && q.left < p.right - 2 && p.top < q.bottom - 4 && q.top < p.bottom - 4) out.push(n + " on " + m); }));
				return out; })()`
			assert.Empty(t, get(t, ctx, js[[]string](clashes)), "%s at %d", name, width)
		}
	}
}

// What stands in a cell can be read without scrolling it, on a desk screen.
func TestNoCellIsClipped(t *testing.T) {
	for _, name := range []string{"morocco-october", "altiplano-june"} {
		url, _ := serve(t, name, func(c *Config) { c.Draws = 16 })
		ctx := tab(t, 1280, 900)
		do(t, ctx, chromedp.Navigate(url), answered)
		for _, part := range []string{"trip", "loads", "systems"} {
			do(t, ctx, click("#tab-"+part), chromedp.Sleep(200*time.Millisecond))
			clipped := `[...document.querySelectorAll("#panel-` + part + ` .cells input")].filter((i) => i.value && i.scrollWidth > i.clientWidth).map((i) => i.value)`
			assert.Empty(t, get(t, ctx, js[[]string](clipped)), "%s, %s", name, part)
		}
	}
}

// The columns that say how a day went are seen without scrolling sideways.
func TestTheVerdictOfADayIsInSight(t *testing.T) {
	url, _ := serve(t, "morocco-october", func(c *Config) { c.Draws = 64 })
	for _, width := range []int64{390, 1280} {
		ctx := tab(t, width, 900)
		do(t, ctx, chromedp.Navigate(url+"?system=Entry+60"), answered)
		ends := `(() => { const box = document.querySelector(".days").parentElement.getBoundingClientRect();
			return [...document.querySelectorAll(".days thead th")].filter((h) => h.getBoundingClientRect().right <= box.right).map((h) => h.innerText.replace(/\s+/g, " ")); })()`
		assert.Subset(t, get(t, ctx, js[[]string](ends)), []string{"Date", "Place", "Lowest charge", "At end", "Flat risk"}, "at %d", width)
	}
}
