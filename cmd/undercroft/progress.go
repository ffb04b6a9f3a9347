package main

import (
	"fmt"
	"io"
	"sync"
	"time"
)

// progress tells on a terminal, and only there, what is being worked at, once
// that takes longer than a second.
type progress struct {
	w    io.Writer
	stop chan struct{}
	done chan struct{}

	mu   sync.Mutex
	what string
	part float64 // the share of the work that is done; 0 where nobody tells
}

// patience is how long work may take before a line says what it is.
const patience = time.Second

// clearLine goes to the beginning of the line and erases it.
const clearLine = "\r\x1b[K"

// newProgress starts to watch; end must be called before anything else is
// written to the terminal.
func (a *app) newProgress() *progress {
	p := &progress{w: a.stderr, stop: make(chan struct{}), done: make(chan struct{})}
	if !a.err.is || a.set.Quiet {
		close(p.done)
		return p
	}
	go p.run()
	return p
}

func (p *progress) run() {
	defer close(p.done)
	tick := time.NewTicker(patience)
	defer tick.Stop()
	shown := false
	for seconds := 1; ; seconds++ {
		select {
		case <-p.stop:
			if shown {
				_, _ = fmt.Fprint(p.w, clearLine)
			}
			return
		case <-tick.C:
			p.mu.Lock()
			what, part := p.what, p.part
			p.mu.Unlock()
			_, _ = fmt.Fprintf(p.w, "%s%s … %d s%s", clearLine, printable(what), seconds, left(seconds, part))
			shown = true
		}
	}
}

// left says how long the rest takes if it goes on like this; of the last piece of
// work, which may take longer than all before it, nothing.
func left(seconds int, done float64) string {
	rest := float64(seconds) * (1 - done) / done
	if done <= 0 || !(rest >= 1) {
		return ""
	}
	return fmt.Sprintf(", about %.0f s left", rest)
}

// share says what is being worked at, and what share of it is done.
func (p *progress) share(what string, done float64) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.what, p.part = what, done
}

// at says what is being worked at.
func (p *progress) at(what string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.what = what
}

// end erases the line.
func (p *progress) end() {
	close(p.stop)
	<-p.done
}
