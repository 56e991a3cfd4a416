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

// browserPath is where the tests look for a browser.
const browserPath = "/usr/bin/chromium"

type step = chromedp.Action[chromedp.Void]

// tab opens a tab of a real browser; the test fails on any script error or
// message of the console. Without a browser the test is skipped, or fails with
// TRIPSIM_REQUIRE_BROWSER=1.
func tab(t *testing.T, width, height int64) context.Context {
	t.Helper()
	if _, err := os.Stat(browserPath); err != nil {
		if os.Getenv("TRIPSIM_REQUIRE_BROWSER") == "1" {
			t.Fatalf("no browser at %s, and TRIPSIM_REQUIRE_BROWSER is set", browserPath)
		}
		t.Skipf("no browser at %s: the page is not tested in a real one", browserPath)
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(browserPath), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-component-update", true), chromedp.UserDataDir(t.TempDir()), chromedp.WSURLReadTimeout(60*time.Second))
	allocated, stopBrowser := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, closeTab := chromedp.NewContext(allocated)
	t.Cleanup(func() { closeTab(); stopBrowser() })
	require.NoError(t, chromedp.Do(ctx, chromedp.EmulateViewport(width, height)))
	messages := chromedp.Console(ctx)
	go func() {
		for m, err := range messages {
			if err != nil {
				return
			}
			if (m.Type == "error" || m.Type == "exception") && !strings.Contains(m.Text, "409") {
				t.Errorf("console: %s %s:%d", m.Text, m.URL, m.Line+1)
			}
		}
	}()
	return ctx
}

// do runs steps in the tab; a step that fails fails the test with a picture.
func do(t *testing.T, ctx context.Context, steps ...step) {
	t.Helper()
	limited, cancel := context.WithTimeout(ctx, time.Minute)
	defer cancel()
	if err := chromedp.Do(limited, steps...); err != nil {
		path := filepath.Join(os.TempDir(), strings.ReplaceAll(t.Name(), "/", "-")+".png")
		if picture, late := chromedp.Run(ctx, chromedp.CaptureScreenshot()); late == nil {
			_ = os.WriteFile(path, picture, 0o644)
		}
		require.NoError(t, err, "see %s", path)
	}
}

// get runs an action that returns something.
func get[T any](t *testing.T, ctx context.Context, a chromedp.Action[T]) T {
	t.Helper()
	limited, cancel := context.WithTimeout(ctx, time.Minute)
	defer cancel()
	v, err := chromedp.Run(limited, a)
	require.NoError(t, err)
	return v
}

// until waits for a condition in the page.
func until(condition string) step {
	return chromedp.Poll[chromedp.Void](condition, chromedp.WithPollingTimeout(40*time.Second), chromedp.WithPollingInterval(30*time.Millisecond))
}

func click(css string) step { return chromedp.Click(chromedp.CSS(css)) }

// prefers makes the tab prefer light or dark.
func prefers(theme string) step {
	return chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
		_, err := cdp.Call(ctx, target, emulation.SetEmulatedMedia,
			emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: theme}}})
		return err
	})
}

// answered waits until the page shows a refined answer to its latest tables.
var answered = until(`document.body.dataset.state === "done"`)

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
}
