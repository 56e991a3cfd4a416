package web

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// shoot takes a picture of the tab for people to look at, into the folder that
// TRIPSIM_SHOTS names, if any.
func shoot(t *testing.T, ctx context.Context, name string, width int64) {
	t.Helper()
	if dir := os.Getenv("TRIPSIM_SHOTS"); dir != "" {
		picture := get(t, ctx, chromedp.CaptureScreenshot())
		require.NoError(t, os.WriteFile(filepath.Join(dir, fmt.Sprintf("%s-%d.png", name, width)), picture, 0o644))
	}
}

// TestScreens takes pictures of the page for people to look at, into the folder
// that TRIPSIM_SHOTS names.
func TestScreens(t *testing.T) {
	dir := os.Getenv("TRIPSIM_SHOTS")
	if dir == "" {
		t.Skip("TRIPSIM_SHOTS names no folder for the pictures")
	}
	only := os.Getenv("TRIPSIM_SHOT")
	url, _ := serve(t, "morocco-october", nil)
	for _, width := range []int64{390, 1280, 1920} {
		for _, theme := range []string{"light", "dark"} {
			for _, part := range []string{"answer", "trip", "loads", "systems", "job"} {
				name := fmt.Sprintf("%d-%s-%s", width, theme, part)
				if width > 1000 && part == "answer" || only != "" && !strings.Contains(name, only) {
					continue
				}
				height := map[int64]int64{390: 844, 1280: 900, 1920: 1080}[width]
				ctx := tab(t, width, height)
				do(t, ctx, prefers(theme), chromedp.Navigate(url), answered, click(`[data-tab="`+part+`"][role=tab]`), chromedp.Sleep(600*time.Millisecond))
				shot := chromedp.CaptureScreenshot()
				if width == 390 {
					shot = chromedp.FullScreenshot(100)
				}
				picture := get(t, ctx, shot)
				require.NoError(t, os.WriteFile(filepath.Join(dir, name+".png"), picture, 0o644))
			}
		}
	}
}

// TestMoreScreens takes pictures of states that need some doing.
func TestMoreScreens(t *testing.T) {
	dir := os.Getenv("TRIPSIM_SHOTS")
	if dir == "" {
		t.Skip("TRIPSIM_SHOTS names no folder for the pictures")
	}
	url, _ := serve(t, "morocco-october", nil)
	ctx := tab(t, 1280, 1000)
	save := func(name string) {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name+".png"), get(t, ctx, chromedp.CaptureScreenshot()), 0o644))
	}
	do(t, ctx, chromedp.Navigate(url+"?system=Entry+60"), answered, click("a[data-spell]"), chromedp.Sleep(200*time.Millisecond))
	do(t, ctx, chromedp.Focus(chromedp.CSS("#reading")), chromedp.KeyEvent(strings.Repeat("\ue014", 5)), chromedp.Sleep(200*time.Millisecond))
	save("flat")
	do(t, ctx, chromedp.Evaluate[chromedp.Void](`document.querySelector('[data-do="more"]').click()`),
		chromedp.Evaluate[chromedp.Void](`(() => { const i = document.querySelector('#panel-trip [data-column="days"]'); i.focus(); i.value = "x"; i.dispatchEvent(new Event("input", {bubbles: true})); })()`),
		until(`document.body.dataset.state === "wrong"`), chromedp.Sleep(400*time.Millisecond))
	save("wrong")
	do(t, ctx, chromedp.KeyEvent("z", chromedp.KeyModifiers(chromedp.ModifierCtrl)), answered, click("#tab-loads"), click(`[data-do="parts-load"]`), chromedp.Sleep(300*time.Millisecond))
	save("parts")
	do(t, ctx, chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
		_, err := cdp.Call(ctx, target, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
		return err
	}), chromedp.Navigate(url+"?system=Weekend+100"))
	save("noscript")
	require.NoError(t, os.WriteFile(filepath.Join(dir, "print.pdf"), get(t, ctx, chromedp.PrintToPDF()), 0o644))
}
