// Package page writes a plan and what was found about it as one HTML page, to
// open, print and send to a friend.
//
// The page needs nothing else: style, script, pictures and the 3D model are in
// it, and its content security policy lets it fetch nothing and run nothing but
// its own script, named by its hash. Text from a plan is text there, wherever it
// goes: html/template escapes it, the data of the script is JSON in which no
// markup is left, the model is packed and written as base64.
//
// The same content gives the same bytes.
package page

import (
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	_ "embed" // the page's template
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"slices"
	"strings"
	"unicode"

	"undercroft/assets"
	"undercroft/export/model"
	"undercroft/export/sheet"
	"undercroft/export/text"
	"undercroft/export/view"
	"undercroft/fit"
	"undercroft/fit/choose"
	"undercroft/fit/fixes"
	"undercroft/fit/floor"
	"undercroft/fit/glass"
	"undercroft/fit/stand"
	"undercroft/fit/verdict"
	"undercroft/fit/water"
	"undercroft/scene"
)

// Content is what a page is about.
type Content struct {
	Plan   string // what the user calls the plan, as a file's name; "" for none
	Scene  *scene.Scene
	Report fit.Report // of the scene
	// Limits is how large a sump and what stands in it may be; nil where that was
	// not worked out: it takes its time.
	Limits *choose.LimitsTable
	// Fixes is what would help; nil where that was not worked out, for it takes its
	// time, too.
	Fixes *fixes.List
}

// Options are how a page is made.
type Options struct {
	// Pictures is how large and how fine its pictures are, at most 1200 by 900
	// pixels; the zero value stands for that. It is as much as a page shows at
	// twice the pixels of a narrow column, and prints at 160 dots to the inch.
	Pictures view.Options
	// Progress, where it is set, is told how many pictures of how many are drawn.
	Progress func(done, of int)
}

// Write writes c as one HTML page. A context that ends stops it.
func Write(ctx context.Context, w io.Writer, c Content, o Options) error {
	p := &builder{Content: c, opts: o}
	p.number()
	if err := p.draw(ctx); err != nil {
		return fmt.Errorf("page: %w", err)
	}
	v, err := p.view()
	if err != nil {
		return fmt.Errorf("page: %w", err)
	}
	var page bytes.Buffer
	if err := pageTemplate.Execute(&page, v); err != nil {
		return fmt.Errorf("page: %w", err)
	}
	if _, err := w.Write(harmless(page.Bytes())); err != nil {
		return fmt.Errorf("page: %w", err)
	}
	return ctx.Err()
}

//go:embed page.html
var pageText string

var pageTemplate = template.Must(template.New("page").Parse(pageText))

// harmless replaces characters that show as nothing or turn the direction of
// writing: they come from names of a plan alone.
func harmless(page []byte) []byte {
	return bytes.Map(func(r rune) rune {
		switch {
		case r == '\n', r == '\t':
			return r
		case unicode.IsControl(r),
			r == '\u2028' || r == '\u2029',
			r >= '\u202a' && r <= '\u202e',
			r >= '\u2066' && r <= '\u2069':
			return unicode.ReplacementChar
		}
		return r
	}, page)
}

// A builder puts a page together.
type builder struct {
	Content
	opts     Options
	places   []place            // in the order of their numbers
	numberOf map[int]int        // of a finding's place, by the finding's index
	figures  map[string]*figure // by what they show, as "finding 3"
}

// hash returns what a content security policy calls a script or style.
func hash(text string) string {
	sum := sha256.Sum256([]byte(text))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}

// policy lets the page show what is in it, and nothing else.
func policy() string {
	return strings.Join([]string{
		"default-src 'none'",
		"script-src " + hash(assets.Viewer),
		"style-src " + hash(assets.PageStyle),
		"img-src data:",
		"base-uri 'none'",
		"form-action 'none'",
	}, "; ")
}

// content is what the template shows.
type content struct {
	Title, Plan, Headline string
	Verdict               verdict.Verdict
	Units, Tape           string
	Policy                string
	Style                 template.CSS
	Script                template.JS
	Model                 template.HTML // base64, which holds no markup
	Facts                 facts
	Answers               []answer
	Still, Understood     *figure
	Read                  []string
	Families              []family
	Order                 []entry
	Drawings              []drawn
	Tables                []table
	Cut                   *cutList
	Shop                  []string // lines of the card for the shop
	NoFixes               string   // where to have what would help from; "" where it is told
	NoLimits              string   // what stands there where there are none
	LeftOut               []leftOut
	Assumed, Cautions     []string
	Sources               []string
	Bar                   bar
}

// A drawn sheet is a drawing on the page.
type drawn struct {
	Name, Title, Scale string
	SVG                template.HTML
}

// A bar is what a ruler is laid on: after printing it must measure what it says.
type bar struct {
	Text  string
	Class string
}

// untitled is what a plan without a title is called.
const untitled = "Untitled plan"

func (b *builder) view() (*content, error) {
	s, r := b.Scene, b.Report
	v := &content{
		Title: r.Title, Plan: b.Plan, Headline: b.headline(), Verdict: r.Verdict,
		Units: map[string]string{"in": "inches", "mm": "millimetres", "cm": "centimetres"}[s.Units.String()],
		Tape:  s.Units.Fine(s.Tape), Policy: policy(),
		Style: template.CSS(assets.PageStyle), Script: template.JS(assets.Viewer),
		Facts: b.facts(), Answers: b.answers(), Read: s.Describe(),
		Still: b.figures[still], Understood: b.figures[understood],
		Families: b.families(), Order: b.order(), Tables: b.tables(), Cut: b.cutList(),
		LeftOut: gather(r.LeftOut), Cautions: r.Cautions, NoLimits: notWorkedOut,
		Bar: bar{"100 mm", "mm"},
	}
	if s.Units.String() == "in" {
		v.Bar = bar{"4 in", "in"}
	}
	if v.Title == "" {
		v.Title = untitled
	}
	for _, f := range r.Checks {
		v.Assumed = include(v.Assumed, f.Assumed)
		v.Sources = include(v.Sources, f.Source)
	}
	glb, err := b.model()
	if err != nil {
		return nil, err
	}
	v.Model = template.HTML(base64.StdEncoding.EncodeToString(glb)) // letters, digits, + and /
	if v.Drawings, err = b.drawings(); err != nil {
		return nil, err
	}
	if b.Limits != nil {
		v.Shop = text.Card(b.Limits)
	}
	if b.Fixes == nil && (r.Verdict == verdict.No || r.Verdict == verdict.Tight) {
		v.NoFixes = noFixes
	}
	return v, nil
}

// model returns the 3D model, packed as gzip; nil where there is nothing to show.
func (b *builder) model() ([]byte, error) {
	if len(b.Scene.Cabinet.Panels())+len(b.Scene.Things()) == 0 {
		return nil, nil
	}
	o := model.Options{Water: water.Bodies(b.Scene)}
	for _, f := range b.Report.Checks {
		o.Motions = append(o.Motions, f.Motions...)
		o.Shapes = append(o.Shapes, f.Shapes...)
	}
	var packed bytes.Buffer
	z, err := gzip.NewWriterLevel(&packed, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	if err := model.Write(z, b.Scene, o); err != nil {
		return nil, err
	}
	err = z.Close()
	return packed.Bytes(), err
}

func (b *builder) drawings() ([]drawn, error) {
	s := b.Scene
	all, err := sheet.Drawings(s, sheet.Figures{
		Water: water.Compute(s), Stand: stand.Check(s), Floor: floor.Check(s), Glass: glass.Cut(s),
	})
	if err != nil {
		return nil, err
	}
	out := make([]drawn, len(all))
	for i, d := range all {
		svg, err := d.Inline()
		if err != nil {
			return nil, err
		}
		out[i] = drawn{d.Name, d.Title, d.Scale, template.HTML(svg)} // drawn by this module, its text escaped there
	}
	return out, nil
}

// include appends what is not yet in list.
func include(list, more []string) []string {
	for _, m := range more {
		if !slices.Contains(list, m) {
			list = append(list, m)
		}
	}
	return list
}
