package page_test

import (
	"bytes"
	"sync"
	"testing"

	"undercroft/assets"
	"undercroft/export/page"
	"undercroft/export/view"
	"undercroft/fit"
	"undercroft/scene/plan"
)

// small is how pictures are in tests: as small as they can be drawn.
var small = view.Options{Width: 432, Height: 324, Supersample: 1}

// demo returns the page of a demo plan, with small pictures.
func demo(t *testing.T, name string) []byte {
	t.Helper()
	html, err := demos[name]()
	if err != nil {
		t.Fatal(err)
	}
	return html
}

// demos makes the page of each demo once.
var demos = func() map[string]func() ([]byte, error) {
	all := map[string]func() ([]byte, error){}
	for _, name := range assets.Demos() {
		all[name] = sync.OnceValues(func() ([]byte, error) {
			text, _ := assets.Demo(name)
			return write(name+".yaml", text)
		})
	}
	return all
}()

// write returns the page of a plan's text.
func write(name string, text []byte) ([]byte, error) {
	s, err := plan.Read(name, text)
	if err != nil {
		return nil, err
	}
	ctx := background
	var html bytes.Buffer
	err = page.Write(ctx, &html, page.Content{Plan: name, Scene: s, Report: fit.Check(ctx, s, fit.Options{})}, page.Options{Pictures: small})
	return html.Bytes(), err
}
