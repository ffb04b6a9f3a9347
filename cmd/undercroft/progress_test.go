package main_test

import (
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	main "undercroft/cmd/undercroft"
)

// lines is a terminal that keeps what was written to it.
type lines struct {
	mu   sync.Mutex
	text strings.Builder
}

func (l *lines) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.Write(p)
}

func (l *lines) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.text.String()
}

// Work over a second is told of on a terminal, and only there, and leaves no
// trace on it.
func TestProgress(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name            string
		terminal, quiet bool
		takes           time.Duration
		done            float64
		want, never     string
	}{
		{"soon done", true, false, 900 * time.Millisecond, 0, "", "s"},
		{"long", true, false, 3500 * time.Millisecond, 0, "\r\x1b[Kdrawing … 3 s\r\x1b[K", "left"},
		{"long, a quarter done", true, false, 2500 * time.Millisecond, 0.25, "drawing … 2 s, about 6 s left\r\x1b[K", ""},
		{"long, the last piece", true, false, 2500 * time.Millisecond, 0.99, "drawing … 2 s\r\x1b[K", "left"},
		{"quiet", true, true, 3500 * time.Millisecond, 0, "", "s"},
		{"no terminal", false, false, 3500 * time.Millisecond, 0, "", "s"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				var out lines
				share, end := main.Progress(&out, c.terminal, c.quiet)
				share("drawing", c.done)
				time.Sleep(c.takes)
				end()
				got := out.String()
				if !strings.HasSuffix(got, c.want) || c.never != "" && strings.Contains(got, c.never) {
					t.Errorf("it says %q, want %q at the end and no %q", got, c.want, c.never)
				}
			})
		})
	}
}
