package sheet

import (
	"fmt"
	"strconv"

	"undercroft/scene"
)

// thingsPages lists the sizes and places of what the numbers in the views stand
// for.
func thingsPages(s *scene.Scene) []*page {
	m := measuring{s: s, sys: s.Units}
	t := table{high: 5.2, columns: []column{
		{width: 8},
		{head: "name"},
		{"width", 17},
		{"depth", 17},
		{"height", 17},
		{"from left", 17},
		{"from front", 17},
		{"up", 17},
	}}
	number := 0
	add := func(name string, bodies []scene.Body) {
		number++
		for _, b := range bodies {
			cells := append(m.size(b.Solid), m.from(b.Solid, s.Cabinet.Inside())...)
			for i := range cells {
				cells[i].box = false
			}
			t.rows = append(t.rows, append(row{named(strconv.Itoa(number)), says(fit(bodyName(name, b), small, 72))}, cells...))
		}
	}
	for _, f := range s.Cabinet.Fixtures {
		add(f.Name, f.Bodies)
	}
	for _, thing := range s.Things() {
		if thing.Item != nil {
			add(thing.Name, thing.Item.Bodies)
			continue
		}
		number++ // the sump has its dimensions in the drawings
	}
	if len(t.rows) == 0 {
		return nil
	}
	const title = "Things in the cabinet: sizes and places"
	f := &form{}
	f.newPage(title)
	f.add(section{title: "Numbers as in the views", note: "places from the cabinet’s inside faces and up from its bottom; round: diameter as ø", table: t})
	for i, pg := range f.pages {
		pg.Title = fmt.Sprintf("%s, page %d of %d", title, i+1, len(f.pages))
		pg.About = fmt.Sprintf("A table of %d rows.", len(t.rows))
		pg.draw("", border, pageHeight-border-titleHeight).titleBlock(
			field{"Document", "Cabinet", 30},
			field{"Title", title, 74},
			field{"Plan", s.Title, 50},
			field{"Sheet", fmt.Sprintf("%d / %d", i+1, len(f.pages)), 18},
			field{"Units", s.Units.String(), 14},
		)
	}
	return f.pages
}
