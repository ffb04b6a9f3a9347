package page

import (
	"bytes"
	"context"
	"encoding/base64"
	"fmt"
	"html/template"
	"image/png"
	"runtime"
	"slices"
	"strings"
	"sync/atomic"

	"golang.org/x/sync/errgroup"

	"undercroft/export/text"
	"undercroft/export/view"
	"undercroft/fit"
	"undercroft/fit/verdict"
	"undercroft/fit/water"
	"undercroft/scene"
)

// A figure is a picture on the page with its twin in words.
type figure struct {
	Source        template.URL
	Title, Alt    string
	Width, Height int
}

// What figures show.
const (
	still      = "still"
	understood = "understood"
)

func pictureOf(finding int) string  { return fmt.Sprintf("finding %d", finding) }
func stripOf(m scene.Motion) string { return "way " + strings.Join(m.Parts, "|") }

// The most pixels of a picture.
const mostWide, mostHigh = 1200, 900

// A job draws one figure.
type job struct {
	key, alt string
	draw     func(view.Options) (view.Picture, error)
}

// jobs lists the pictures of the page.
func (b *builder) jobs() []job {
	subject := view.Of(b.Scene, fit.CautionPlanning, water.Bodies(b.Scene))
	whole := func(draw func(view.Subject, view.Options) (view.Picture, error)) func(view.Options) (view.Picture, error) {
		return func(o view.Options) (view.Picture, error) { return draw(subject, o) }
	}
	list := []job{
		{still, "The cabinet with all that stands in and on it, doors open, from the front right and above.", whole(view.ThreeQuarter)},
		{understood, "The cabinet from above with the plan's own dimensions. What they say stands in the list beside it.", whole(view.Understood)},
	}
	for i, f := range b.Report.Checks {
		if len(f.Marks) > 0 && f.Verdict != verdict.OK {
			at := view.Place{Title: text.About(f.ID), Verdict: f.Verdict.String(), Summary: f.Summary, Marks: f.Marks, Open: !f.AtRest()}
			there := subject.With(slices.Concat(f.Shapes, f.Instead)...)
			there.Caution = fit.CautionAt(f.ID)
			list = append(list, job{pictureOf(i), "The place close up: " + f.Summary, func(o view.Options) (view.Picture, error) {
				return view.Close(there, at, o)
			}})
		}
		for _, m := range f.Motions {
			if m.Out {
				continue
			}
			during := subject.During(m)
			during.Caution = fit.CautionAt(f.ID)
			list = append(list, job{stripOf(m), movesShown(m), func(o view.Options) (view.Picture, error) {
				return view.Strip(during, m, o)
			}})
		}
	}
	return list
}

// movesShown tells of a strip to who does not see it.
func movesShown(m scene.Motion) string {
	start := "start outside, "
	if m.Begins() != "" {
		start = "start "
	}
	return "The moves as pictures: " + start + strings.Join(m.Moves, ", ") + "."
}

// draw draws all figures, as many at once as there are processors.
func (b *builder) draw(ctx context.Context) error {
	list := b.jobs()
	o := b.opts.Pictures
	if o.Width == 0 || o.Width > mostWide {
		o.Width = mostWide
	}
	if o.Height == 0 || o.Height > mostHigh {
		o.Height = mostHigh
	}
	figures := make([]*figure, len(list))
	var done atomic.Int64
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(runtime.GOMAXPROCS(0))
	for i, j := range list {
		g.Go(func() error {
			if err := ctx.Err(); err != nil {
				return err
			}
			p, err := j.draw(o)
			if err != nil {
				return err
			}
			small, err := compress(p.PNG)
			if err != nil {
				return fmt.Errorf("picture %q: %w", p.Title, err)
			}
			figures[i] = &figure{
				Source: template.URL("data:image/png;base64," + base64.StdEncoding.EncodeToString(small)), // a picture drawn here
				Title:  p.Title, Alt: j.alt, Width: o.Width, Height: o.Height,
			}
			if b.opts.Progress != nil {
				b.opts.Progress(int(done.Add(1)), len(list))
			}
			return nil
		})
	}
	if err := g.Wait(); err != nil {
		return err
	}
	b.figures = map[string]*figure{}
	for i, j := range list {
		b.figures[j.key] = figures[i]
	}
	return nil
}

// compress writes a picture with a palette: what the pictures show are few tints
// and thin lines.
func compress(picture []byte) ([]byte, error) {
	img, err := png.Decode(bytes.NewReader(picture))
	if err != nil {
		return nil, err
	}
	var small bytes.Buffer
	err = (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&small, reduce(img, tints))
	return small.Bytes(), err
}
