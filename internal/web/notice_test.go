package web

import (
	"context"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tripsim/internal/report"
	"tripsim/internal/scenario"
)

// archives are one of a shipped trip and a file that is none.
func archives(t *testing.T) (good, bad string) {
	t.Helper()
	data, err := pack("norway", shipped(t, "norway-september"))
	require.NoError(t, err)
	good, bad = filepath.Join(t.TempDir(), "norway.zip"), filepath.Join(t.TempDir(), "bad.zip")
	require.NoError(t, os.WriteFile(good, data, 0o600))
	require.NoError(t, os.WriteFile(bad, []byte("not an archive"), 0o600))
	return good, bad
}

const (
	noticeText   = `(() => { const n = document.querySelector("#notice"); return n.hidden ? "" : n.querySelector("p").innerText; })()`
	noticeFailed = `document.querySelector("#notice.failed:not([hidden])")`
	noticeGone   = `document.querySelector("#notice").hidden`
)

func importFile(path string) step {
	return chromedp.SetUploadFiles(chromedp.CSS("#import-file"), []string{path})
}

// quickQuote makes the page offer a document that is made at once.
func quickQuote(c *Config) {
	c.Draws = 16
	c.Quote = func(context.Context, *scenario.Scenario, *report.Run) (page, pdf []byte, err error) {
		return []byte("<p>quote"), []byte("%PDF-1.7"), nil
	}
}

// An import is told to everybody, with the way back beside it.
func TestAnImportIsSeenAndTakenBack(t *testing.T) {
	good, _ := archives(t)
	for _, width := range []int64{390, 1280} {
		url, s := serve(t, "morocco-october", func(c *Config) { c.Draws = 16 })
		ctx := tab(t, width, 844)
		do(t, ctx, chromedp.Navigate(url), answered, importFile(good), until(`document.querySelector("#notice.made:not([hidden])")`), chromedp.Sleep(300*time.Millisecond), answered)
		assert.Equal(t, "Imported. Undo takes it back.", get(t, ctx, js[string](noticeText)))
		assert.Equal(t, "Imported. Undo takes it back.", get(t, ctx, js[string](`document.querySelector("#alarm").innerText`)), "and spoken")
		inSight := `(() => { const b = document.querySelector("#notice").getBoundingClientRect(); return b.top >= 0 && b.bottom <= innerHeight && b.left >= 0 && b.right <= innerWidth && b.height > 20; })()`
		assert.True(t, get(t, ctx, js[bool](inSight)), "at %d", width)
		shoot(t, ctx, "imported", width)
		do(t, ctx, click(`#notice [data-do="take-back"]`), until(noticeGone), chromedp.Sleep(300*time.Millisecond), answered)
		assert.Equal(t, shipped(t, "morocco-october"), latest(s).files)
	}
}

// What has failed is told until the next action goes well, and no longer.
func TestTheNoticeOfAFailureGoesWithTheNextSuccess(t *testing.T) {
	good, bad := archives(t)
	url, _ := serve(t, "morocco-october", quickQuote)
	ctx := tab(t, 1280, 900)
	do(t, ctx, chromedp.Navigate(url), answered)
	for _, next := range []struct {
		name string
		do   step
	}{
		{"a quote", chromedp.Steps(click(`[data-tool="quote"]`), until(`document.body.dataset.quote === "made"`))},
		{"an edit", write(firstStop, "2")},
		{"an undo", click(`[data-tool="undo"]`)},
		{"an import", chromedp.Steps(importFile(good), until(`document.querySelector("#notice.made:not([hidden])")`))},
	} {
		do(t, ctx, importFile(bad), until(noticeFailed))
		assert.Contains(t, get(t, ctx, js[string](noticeText)), "not a zip archive", next.name)
		do(t, ctx, eval(`dispatchEvent(new Event("resize"))`), chromedp.Sleep(400*time.Millisecond), answered)
		assert.NotEmpty(t, get(t, ctx, js[string](noticeText)), "an answer is no action")
		do(t, ctx, next.do, until(`!`+noticeFailed))
		assert.NotContains(t, get(t, ctx, js[string](noticeText)), "zip", "after %s", next.name)
		do(t, ctx, chromedp.Sleep(300*time.Millisecond), answered)
	}
}
