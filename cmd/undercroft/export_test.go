package main

import (
	"context"
	"io"
)

// What the tests, which stand outside of the package, start and call.
var (
	MainForTest = main
	Run         = run
	Quote       = quote
	FileName    = fileName
)

// WriteWhole writes data to each path, all or none.
func WriteWhole(ctx context.Context, data string, paths ...string) error {
	files := make([]output, len(paths))
	for i, p := range paths {
		files[i] = output{path: p, data: []byte(data)}
	}
	return writeWhole(ctx, files...)
}

// Progress is what is told on w about work; end ends it.
func Progress(w io.Writer, terminal, quiet bool) (share func(string, float64), end func()) {
	a := &app{stderr: w}
	a.err.is, a.set.Quiet = terminal, quiet
	p := a.newProgress()
	return p.share, p.end
}
