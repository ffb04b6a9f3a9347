package page_test

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
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
)

// browsers are the names that a browser may have.
var browsers = []string{"chromium", "chromium-browser", "google-chrome", "chrome"}

// start starts one browser for all tests of the package, at the first that
// needs it.
var start = sync.OnceValues(func() (context.Context, error) {
	opts := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.NoSandbox, // tests may run as root
		chromedp.Flag("disable-gpu", true),
		chromedp.Flag("enable-unsafe-swiftshader", true),
		chromedp.Flag("disable-quic", true),
		chromedp.Flag("disable-component-update", true),
		chromedp.WSURLReadTimeout(time.Minute),
	)
	for _, name := range browsers {
		if path, err := exec.LookPath(name); err == nil {
			opts = append(opts, chromedp.ExecPath(path))
			break
		}
	}
	alloc, stopAlloc := chromedp.NewExecAllocator(context.Background(), opts...)
	ctx, stop := chromedp.NewContext(alloc)
	stopBrowser = func() { stop(); stopAlloc() }
	return ctx, chromedp.Do(ctx, chromedp.Navigate("about:blank"))
})

var stopBrowser = func() {}

func TestMain(m *testing.M) {
	m.Run()
	stopBrowser()
}

// A tab is a page in the browser, with all that it complained of.
type tab struct {
	t   *testing.T
	ctx context.Context

	mu       sync.Mutex
	errors   []string
	requests []string
	pages    []string // addresses that may be asked for
}

// media are what a browser tells a page of its user.
type media struct{ dark, still bool }

// open opens a page in a new tab, or skips the test where no browser is. No
// console error and no request but that of the page itself may come.
func open(t *testing.T, html []byte, width, height int64, m media) *tab {
	t.Helper()
	have := false
	for _, name := range browsers {
		_, err := exec.LookPath(name)
		have = have || err == nil
	}
	if !have {
		if os.Getenv("UNDERCROFT_CI") == "1" {
			t.Fatal("UNDERCROFT_CI is set, and there is no browser: install chromium")
		}
		t.Skip("needs a browser: chromium")
	}
	browser, err := start()
	if err != nil {
		t.Fatalf("the browser does not start: %v", err)
	}
	file := filepath.Join(t.TempDir(), "page.html")
	if err := os.WriteFile(file, html, 0o600); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := chromedp.NewContext(browser)
	t.Cleanup(cancel)
	b := &tab{t: t, ctx: ctx, pages: []string{"file://" + file}}
	b.do(chromedp.Navigate("about:blank"))
	limited, stop := context.WithTimeout(ctx, 3*time.Minute)
	t.Cleanup(stop)
	b.ctx = limited
	if err := chromedp.Listen(ctx, b.hear); err != nil {
		t.Fatal(err)
	}
	features := []*emulation.MediaFeature{}
	if m.dark {
		features = append(features, &emulation.MediaFeature{Name: "prefers-color-scheme", Value: "dark"})
	}
	if m.still {
		features = append(features, &emulation.MediaFeature{Name: "prefers-reduced-motion", Value: "reduce"})
	}
	_, err1 := chromedp.Call(b.ctx, network.Enable, network.EnableParams{})
	_, err2 := chromedp.Call(b.ctx, log.Enable, cdp.Empty{})
	_, err3 := chromedp.Call(b.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: features})
	for _, err := range []error{err1, err2, err3} {
		if err != nil {
			t.Fatal(err)
		}
	}
	b.do(chromedp.EmulateViewport(width, height), chromedp.Navigate("file://"+file))
	t.Cleanup(func() {
		b.mu.Lock()
		defer b.mu.Unlock()
		for _, e := range b.errors {
			t.Errorf("the browser complains: %s", e)
		}
		for _, r := range b.requests {
			if !slices.Contains(b.pages, r) && !strings.HasPrefix(r, "data:") {
				t.Errorf("the page asks for %s", r)
			}
		}
		if len(b.requests) == 0 {
			t.Error("no request was seen, not even that of the page")
		}
	})
	return b
}

// allow lets the tab ask for one more page.
func (b *tab) allow(url string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.pages = append(b.pages, url)
}

// hear keeps what the browser says.
func (b *tab) hear(ev any) {
	b.mu.Lock()
	defer b.mu.Unlock()
	switch ev := ev.(type) {
	case *runtime.EventExceptionThrown:
		b.errors = append(b.errors, describe(ev.ExceptionDetails))
	case *runtime.EventConsoleAPICalled:
		if ev.Type == runtime.ConsoleAPICalledTypeError || ev.Type == runtime.ConsoleAPICalledTypeAssert {
			for _, a := range ev.Args {
				b.errors = append(b.errors, string(a.Value)+a.Description)
			}
		}
	case *log.EventEntryAdded:
		if ev.Entry.Level == log.EntryLevelError {
			b.errors = append(b.errors, ev.Entry.Text)
		}
	case *network.EventRequestWillBeSent:
		b.requests = append(b.requests, ev.Request.URL)
	}
}

func (b *tab) do(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	if err := chromedp.Do(b.ctx, steps...); err != nil {
		b.t.Fatal(err)
	}
}

// run runs one action in a tab and returns what it gives.
func run[T any](b *tab, a chromedp.Action[T]) T {
	b.t.Helper()
	v, err := chromedp.Run(b.ctx, a)
	if err != nil {
		b.t.Fatal(err)
	}
	return v
}

// eval returns what an expression is in the page.
func eval[T any](b *tab, expression string) T {
	b.t.Helper()
	return run(b, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
}

// until waits until an expression is true.
func (b *tab) until(expression string) {
	b.t.Helper()
	if _, err := chromedp.Run(b.ctx, chromedp.Poll[bool](expression, chromedp.WithPollingTimeout(time.Minute), chromedp.WithPollingInterval(20*time.Millisecond))); err != nil {
		b.t.Fatalf("waiting for %s: %v", expression, err)
	}
}

// ready waits until the model is drawn.
func (b *tab) ready() {
	b.t.Helper()
	b.until(`document.getElementById("view").dataset.at !== undefined`)
}

// keep returns the picture that turns, and saves it beside the test's other
// artifacts.
func (b *tab) keep(name string) []byte {
	b.t.Helper()
	shot := run(b, chromedp.Screenshot(chromedp.CSS("#view")))
	if err := os.WriteFile(filepath.Join(b.t.ArtifactDir(), name+".png"), shot, 0o600); err != nil {
		b.t.Fatal(err)
	}
	return shot
}

// describe says what was thrown.
func describe(d *runtime.ExceptionDetails) string {
	if d.Exception != nil {
		return d.Text + " " + d.Exception.Description
	}
	return d.Text
}
