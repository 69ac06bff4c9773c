package page

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/status"
	"bathtender/firmware/status/example"
)

// browser is a real browser without a window.
type browser struct {
	ctx context.Context

	mutex    sync.Mutex
	said     []string // on its console, and what it refused
	requests []string // all that it asked for
}

func newBrowser(t *testing.T) *browser {
	path := needs(t, "chromium", "chromium")
	ctx, stop := chromedp.NewExecAllocator(context.Background(), append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path),
		chromedp.UserDataDir(t.TempDir()), chromedp.WSURLReadTimeout(time.Minute))...)
	t.Cleanup(stop)
	ctx, end := chromedp.NewContext(ctx)
	t.Cleanup(end)
	b := &browser{ctx: ctx}
	require.NoError(t, chromedp.Listen(ctx, func(event any) {
		b.mutex.Lock()
		defer b.mutex.Unlock()
		switch e := event.(type) {
		case *runtime.EventConsoleAPICalled:
			b.said = append(b.said, string(e.Type))
		case *runtime.EventExceptionThrown:
			b.said = append(b.said, e.ExceptionDetails.Text)
		case *log.EventEntryAdded:
			b.said = append(b.said, e.Entry.Text)
		case *network.EventRequestWillBeSent:
			b.requests = append(b.requests, e.Request.URL)
		}
	}))
	return b
}

// look opens a page at a width, light or dark.
func (b *browser) look(t *testing.T, url string, width int64, scheme string) {
	t.Helper()
	ctx, late := context.WithTimeout(b.ctx, time.Minute)
	defer late()
	_, err := chromedp.Call(ctx, network.Enable, network.EnableParams{})
	require.NoError(t, err)
	_, err = chromedp.Call(ctx, log.Enable, cdp.Empty{})
	require.NoError(t, err)
	_, err = chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}})
	require.NoError(t, err)
	require.NoError(t, chromedp.Do(ctx, chromedp.EmulateViewport(width, 800), chromedp.Navigate(url)))
}

// sees waits until a part of the page holds a text.
func (b *browser) sees(t *testing.T, id, text string) {
	t.Helper()
	found := ""
	require.Eventually(t, func() bool {
		var err error
		found, err = chromedp.Run(b.ctx, chromedp.Evaluate[string](`document.getElementById("`+id+`").innerText`))
		return err == nil && strings.Contains(strings.ToLower(found), strings.ToLower(text))
	}, time.Minute, 50*time.Millisecond, "%q does not come in %s", text, id)
}

func (b *browser) picture(t *testing.T, name string) {
	t.Helper()
	png, err := chromedp.Run(b.ctx, chromedp.FullScreenshot(100))
	require.NoError(t, err)
	folder := t.TempDir()
	if kept := os.Getenv("BATHTENDER_PICTURES"); kept != "" {
		folder = kept // to be looked at
	}
	require.NoError(t, os.WriteFile(filepath.Join(folder, name+".png"), png, 0o644))
}

// quiet demands that the browser has complained of nothing and has asked nobody
// but the page.
func (b *browser) quiet(t *testing.T, url string) {
	t.Helper()
	b.mutex.Lock()
	defer b.mutex.Unlock()
	assert.Empty(t, b.said)
	assert.NotEmpty(t, b.requests)
	for _, asked := range b.requests {
		assert.True(t, strings.HasPrefix(asked, url+"/"), "%s was asked", asked)
	}
}

func TestABrowserSeesATripAsItHappens(t *testing.T) {
	r := newRig(t, example.Clean(), func(c *Config) { c.Journal = journalWithATrip(t) })
	b := newBrowser(t)
	for _, scheme := range []string{"light", "dark"} {
		r.program.Show(example.Clean())
		b.look(t, r.url, 1280, scheme)
		b.sees(t, "state", "clean, side 1 of 2")
		b.sees(t, "state", "hands out of the bath: emission from banks 1 to 6")
		b.sees(t, "trends", "bath temperature")
		b.picture(t, "laptop-clean-"+scheme)
		r.program.Show(example.Tripped())
		b.sees(t, "attention", "fan 2 at 90 rpm, below its 1500 rpm minimum")
		b.sees(t, "announced", "Trip: airflow lost, fan 2")
		b.sees(t, "state", "run-on")
		b.picture(t, "laptop-trip-"+scheme)
		b.look(t, r.url+"/log", 1280, scheme)
		b.sees(t, "records", "picture of record")
		b.picture(t, "laptop-log-"+scheme)
	}
	b.quiet(t, r.url)
}

// 360 CSS pixels are the width of a common phone; nothing may need to be moved
// sideways there (WCAG 2.2, 1.4.10 asks for it at 320).
func TestAPhoneNeedsNoSidewaysScrolling(t *testing.T) {
	long := example.Tripped()
	long.Machine = strings.Repeat("machine", 60)
	long.Session.Recipe = strings.Repeat("recipe", 60)
	long.Latched[0].Text = strings.Repeat("text", 200)
	long.Contacts[0].Name = strings.Repeat("contact", 50)
	r := newRig(t, example.Clean(), func(c *Config) { c.Journal = journalWithATrip(t) })
	b := newBrowser(t)
	for name, v := range map[string]struct {
		view status.View
		sees string
	}{"clean": {example.Clean(), "clean"}, "trip": {example.Tripped(), "run-on"}, "long": {long, "machinemachine"}} {
		r.program.Show(v.view)
		for _, scheme := range []string{"light", "dark"} {
			for _, width := range []int64{360, 320} {
				for _, path := range []string{"/", "/log"} {
					b.look(t, r.url+path, width, scheme)
					if path == "/" {
						b.sees(t, "state", v.sees)
					}
					wide, err := chromedp.Run(b.ctx, chromedp.Evaluate[int64](`document.documentElement.scrollWidth`))
					require.NoError(t, err)
					assert.LessOrEqual(t, wide, width, "%s at %s", name, path)
					if width == 360 {
						b.picture(t, "phone-"+name+strings.ReplaceAll(path, "/", "-")+scheme)
					}
				}
			}
		}
	}
	b.quiet(t, r.url)
}

func TestABrowserIsToldThatTheProgramIsSilent(t *testing.T) {
	r := newRig(t, example.Idle(), nil)
	b := newBrowser(t)
	b.look(t, r.url, 1280, "light")
	b.sees(t, "state", "idle")
	b.sees(t, "readings", "21.4 °C")
	r.program.Close()
	b.sees(t, "state", "no word from the program for")
	b.sees(t, "state", "hands out of the bath")
	shown, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](`document.getElementById("readings").innerText`))
	require.NoError(t, err)
	assert.NotContains(t, shown, "21.4", "a stale value")
	b.picture(t, "laptop-silent-light")
	b.quiet(t, r.url)
}

func TestABrowserNoticesThatThePageItselfHasGone(t *testing.T) {
	b := newBrowser(t)
	t.Run("while it is served", func(t *testing.T) {
		socket := filepath.Join(t.TempDir(), "s")
		program, err := example.Listen(socket, example.Idle())
		require.NoError(t, err)
		t.Cleanup(program.Close)
		url := serve(t, Config{Socket: socket, Listen: "127.0.0.1:0"})
		b.look(t, url, 1280, "light")
		b.sees(t, "readings", "21.4 °C")
	})
	b.sees(t, "lost", "No word from the page's server for")
	hidden, err := chromedp.Run(b.ctx, chromedp.Evaluate[bool](`getComputedStyle(document.getElementById("live")).display === "none"`))
	require.NoError(t, err)
	assert.True(t, hidden, "stale values are to be seen")
	b.picture(t, "laptop-lost-light")
}
