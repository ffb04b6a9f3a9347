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
// collected: searches leave much of it, and keep little. As the whole comes near to memory,
// in bytes, it is collected sooner. GOGC and GOMEMLIMIT set them otherwise.
const garbage, memory = 300, 350 << 20

func main() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(garbage)
	}
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(memory)
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	code := run(ctx, os.Args[1:], os.Stdin, os.Stdout, os.Stderr)
	stop()
	os.Exit(code)
}
