package sheet

import (
	"errors"
	"fmt"

	"undercroft/fit/glass"
	"undercroft/fit/verdict"
	"undercroft/fit/water"
	"undercroft/scene"
)

// A Drawing is one sheet: a page as wide as A4 and as high as Letter, so that it
// prints whole on both.
type Drawing struct {
	Name  string // for files and places in a document: letters, digits and hyphens
	Title string // what it shows, for people
	Scale string // as "1 : 10"; "" where the sheet has several
	page  *page
}

// SVG returns the drawing as a file that a browser prints true to scale.
func (d Drawing) SVG() ([]byte, error) { return d.page.svg() }

// Inline returns the drawing as an svg element to stand in an HTML page, beside
// others: it has no ids, no style sheet and no classes. Its size is that of the
// paper in mm, its viewBox one unit to the millimetre.
func (d Drawing) Inline() ([]byte, error) { return d.page.inline() }

// About says in words what the drawing shows.
func (d Drawing) About() string { return printable(d.page.About) }

// PNG returns the drawing as a picture, at a number of pixels to the millimetre.
func (d Drawing) PNG(perMM float64) ([]byte, error) { return d.page.png(perMM) }

// Figures is what the drawings of a scene show besides the scene itself.
type Figures struct {
	Water water.Figures    // of the scene, by water.Compute
	Stand verdict.Findings // by stand.Check; other findings may be among them
	Floor verdict.Findings // by floor.Check; other findings may be among them
	Glass glass.List       // by glass.Cut
}

// Drawings returns the drawings of a scene that its plan has data for: the
// cabinet from the front, from above and from the side, the sump cut along the
// flow, the stand, the house floor and the panes to cut.
func Drawings(s *scene.Scene, f Figures) ([]Drawing, error) {
	var all []Drawing
	add := func(name, title string, pages ...*page) {
		for i, pg := range pages {
			n := name
			if len(pages) > 1 {
				n = fmt.Sprintf("%s-%d", name, i+1)
			}
			all = append(all, Drawing{Name: n, Title: title, Scale: pg.scale, page: pg})
		}
	}
	for i, pg := range cabinetViews(s) {
		add([]string{"front", "top", "side"}[i], pg.Title, pg)
	}
	add("things", "Sizes and places of what stands in the cabinet", thingsPages(s)...)
	if pg, err := sectionPage(s, f.Water); err == nil {
		add("levels", "The sump cut along the flow, with levels and pen marks", pg)
	} else if !errors.Is(err, errNoSump) {
		return nil, err
	}
	if d, err := newStandDrawing(s, f.Stand); err == nil {
		add("stand", "The stand, with what each member bears", d.page())
	} else if !errors.Is(err, errNoStand) {
		return nil, err
	}
	if d, err := newFloorPlan(s, f.Floor); err == nil {
		add("house-floor", "The house floor from above, with its joists", d.page())
	} else if !errors.Is(err, errNoJoists) {
		return nil, err
	}
	if pages, err := cutPages(s, f.Glass); err == nil {
		add("glass", "Panes for the glass shop", pages...)
	} else if !errors.Is(err, errNoBaffles) {
		return nil, err
	}
	return all, nil
}
