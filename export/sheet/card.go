package sheet

import (
	"undercroft/fit/choose"
	"undercroft/scene/unit"
)

// Columns and rows of the card's tables, mm.
const (
	cardRow   = 6.5
	cardSumps = 10
	cardThird = bodyWidth / 3.0
)

// Card returns the page to take to the shop: how large a tank may be, and what
// goes with it, with lines to write down what the shop has.
func Card(t *choose.LimitsTable) ([]byte, error) {
	pg := &page{Title: "Card for the shop", About: "The largest tanks that go into the cabinet, and what goes with them"}
	head := pg.draw("", border, border)
	head.bold(0, 4, large, left, "Card for the shop")
	y := 12.0
	p := pg.draw("Limits", border, border)
	u := t.Units
	write := func(bold bool, text string) { y = p.paragraph(y, 4, bold, text) }
	write(false, "Outside of the tank, rim and foot included, as it stands in the cabinet: width x depth x height. The tape's error, "+
		u.Fine(t.Tape)+" on each side, is taken off already. A tank that is no larger than one line in each direction goes in.")
	y += 2
	cells := func(bold bool, texts ...string) {
		for i, text := range texts {
			x := float64(i) * cardThird
			p.box(narrow, x, y, x+cardThird, y+cardRow)
			room := fit(text, normal*boldness, cardThird-2*pad)
			if bold {
				p.bold(x+pad, y+4.4, normal, left, room)
			} else {
				p.text(x+pad, y+4.4, normal, left, room)
			}
		}
		y += cardRow
	}
	cells(true, "at most", "with "+u.Fine(t.Wanted)+" to spare on each side", "what the shop has")
	for i := range t.Sumps[:min(len(t.Sumps), cardSumps)] {
		l := &t.Sumps[i]
		easy := "-"
		if l.Easy[0] > 0 && l.Easy[1] > 0 && l.Easy[2] > 0 {
			easy = u.Size(l.Easy[0], l.Easy[1], l.Easy[2])
		}
		cells(false, u.Size(l.Card[0], l.Card[1], l.Card[2]), easy, "")
	}
	if len(t.Sumps) == 0 {
		cells(false, "none found", "", "")
	}
	y += 8
	if len(t.Things) > 0 {
		write(true, "What goes in with the sump of the plan in place: width x depth x height")
		y++
		cells(true, "thing", "at most", "what the shop has")
		for i := range t.Things {
			l := &t.Things[i]
			most := l.Most
			for k := range most {
				most[k] = max(0, most[k]-2*t.Tape)
			}
			size := "none found"
			if l.Most != ([3]unit.Length{}) {
				size = u.Size(most[0], most[1], most[2])
			}
			cells(false, l.Kind+" shaped as "+l.Thing, size, "")
		}
		y += 8
	}
	write(true, "Measure the tank before you pay: length, width and height, over rim and foot, and the thickness of the glass.")
	y += 2
	const last = pageHeight - 2*border - titleHeight - 6
	for _, c := range t.Cautions {
		if y > last {
			break
		}
		write(false, c)
	}
	block := pg.draw("", border, pageHeight-border-titleHeight)
	block.titleBlock(
		field{"Document", "Card for the shop", 44},
		field{"Plan", t.Title, 110},
		field{"Units", t.Units.String(), 32},
	)
	return pg.svg()
}
