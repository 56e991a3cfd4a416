package web

import (
	"context"
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
			refused := strings.Contains(m.Text, "409") || strings.Contains(m.Text, "422") && strings.HasSuffix(m.URL, "/api/import") // what the page tells
			if (m.Type == "error" || m.Type == "exception") && !refused {
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

// js evaluates an expression in the page.
func js[T any](expression string) chromedp.Action[T] { return chromedp.Evaluate[T](expression) }

// eval runs a statement for its effect.
func eval(statement string) step { return chromedp.Evaluate[chromedp.Void]("void (" + statement + ")") }

func key(keys string, modifiers ...chromedp.Modifier) step {
	return chromedp.KeyEvent(keys, chromedp.KeyModifiers(modifiers...))
}

// write replaces the text of an input by typing.
func write(css, text string) step {
	return chromedp.Steps(chromedp.Focus(chromedp.CSS(css)), key("a", chromedp.ModifierCtrl), key(text))
}
