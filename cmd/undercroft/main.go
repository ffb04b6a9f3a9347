// Command undercroft tells whether a sump and all that belongs to it go into
// an aquarium cabinet, from what a tape measures.
package main

import (
	"context"
	"os"
	"os/signal"
	"runtime/debug"
	"syscall"
)

// garbage is by how many percent the memory in use may grow before what nobody needs is
// collected: searches leave much of it, and keep little. GOGC sets it otherwise.
const garbage = 300

func main() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(garbage)
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}
