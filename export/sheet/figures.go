package sheet

import "math"

// The drawings of the measuring sheet. They show one cabinet of no certain
// size, not to scale; each is up to 64 mm wide.

// drawFront draws the cabinet from the front.
func drawFront(p pen) {
	p.ground(2, 62, 49)
	p.line(outline, 2, 2, 62, 2) // ceiling
	p.lines(phantom, point{13, 13}, point{13, 5}, point{51, 5}, point{51, 13})
	p.box(outline, 12, 13, 52, 49)
	p.box(outline, 15.5, 17, 48.5, 42)
	p.line(hidden, 14, 13, 14, 49)
	p.line(hidden, 50, 13, 50, 49)
	p.line(hidden, 14, 43.5, 50, 43.5)
	p.across(point{12, 49}, point{52, 49}, 56, key("A1"))
	p.up(point{12, 13}, point{12, 49}, 6.5, key("A3"))
	p.across(point{12, 23}, point{14, 23}, 23, key("A4"))
	p.across(point{14, 34}, point{50, 34}, 34, key("A10"))
	p.up(point{60, 2}, point{60, 49}, 60, key("B5"))
	p.text(32, 10, small, centre, "display")
	p.text(36, 28, small, centre, "inside")
	p.text(3, 4.8, small, left, "ceiling")
	p.text(53.5, 53.6, small, left, "house floor")
}

// drawSection draws the cabinet cut from front to back.
func drawSection(p pen) {
	p.ground(2, 62, 46)
	p.lines(phantom, point{9, 10}, point{9, 2}, point{47, 2}, point{47, 10})
	p.hatched(rectangle(8, 10, 48, 13)...)      // top
	p.hatched(rectangle(46.4, 13, 48, 46)...)   // back
	p.hatched(rectangle(8, 13, 11, 17)...)      // front, over the door
	p.hatched(rectangle(8, 40.5, 11, 46)...)    // front, under the door
	p.hatched(rectangle(11, 38, 46.4, 40.5)...) // bottom
	p.line(outline, 8, 17, 8, 40.5)
	p.line(outline, 11, 17, 11, 38)
	p.across(point{8, 46}, point{48, 46}, 53, key("A2"))
	p.across(point{8, 22}, point{11, 22}, 22, key("A7"))
	p.across(point{46.4, 20}, point{48, 20}, 20, tag{})
	p.put(39.9, 20, key("A5"), false)
	p.up(point{48, 10}, point{48, 13}, 54, tag{})
	p.put(54, 19.5, key("A6"), false)
	p.up(point{46.4, 38}, point{48, 46}, 58, key("A8"))
	p.up(point{24, 38}, point{24, 40.5}, 24, key("A9"))
	p.upward(5.5, 31, small, centre, "front")
	p.upward(52, 31, small, centre, "back")
}

// drawRoom draws the cabinet in its room from above.
func drawRoom(p pen) {
	for _, wall := range [][]point{rectangle(2, 2, 62, 4), rectangle(2, 4, 4, 48), rectangle(60, 4, 62, 48), rectangle(14, 48, 50, 51)} {
		p.hatched(wall...)
	}
	p.box(outline, 15, 8, 49, 26)
	p.hatched(rectangle(15, 8, 16.5, 26)...)
	p.hatched(rectangle(47.5, 8, 49, 26)...)
	p.up(point{32, 26}, point{32, 48}, 32, key("B1"))
	p.across(point{4, 15}, point{15, 15}, 15, key("B2"))
	p.across(point{49, 15}, point{60, 15}, 15, key("B3"))
	p.up(point{32, 4}, point{32, 8}, 32, tag{})
	p.put(32, 14.5, key("B4"), false)
	p.text(40, 24, small, centre, "cabinet")
	p.text(20, 30, small, centre, "front")
	p.text(32, 54.2, small, centre, "what stands opposite")
}

// drawOpening draws an opening from the front, with hinges in it.
func drawOpening(p pen) {
	p.ground(2, 62, 50)
	p.box(outline, 8, 3, 56, 50)
	p.box(outline, 20, 8, 49, 40)
	p.line(hidden, 8, 44.5, 56, 44.5)
	for _, y := range []float64{13, 34} {
		p.hatched(rectangle(20, y-2.5, 23, y+2.5)...)
	}
	p.across(point{8, 50}, point{20, 40}, 57, key("C3"))
	p.up(point{49, 40}, point{56, 44.5}, 60, key("C4"))
	p.across(point{20, 20}, point{49, 20}, 20, key("C5"))
	p.up(point{43, 8}, point{43, 40}, 43, key("C6"))
	p.across(point{20, 13}, point{23, 13}, 13, key("C13"))
	p.up(point{23, 31.5}, point{23, 36.5}, 28, tag{})
	p.put(28, 25.2, key("C14"), false)
	p.up(point{23, 34}, point{35, 40}, 35, key("C15"))
	p.text(10, 48.2, small, left, "dashed: the cabinet bottom’s upper face")
}

// drawDoors draws doors from above: an inset pair and an overlay leaf.
func drawDoors(p pen) {
	const thick, opened = 2.6, 80
	// leaf draws a leaf of some length that turns about its corner at (x, y):
	// closed, dashed, it reaches to the right, or to the left for dir = -1.
	leaf := func(x, y, length, dir float64) (tip point) {
		sin, cos := math.Sincos(opened * math.Pi / 180)
		closed := []point{{0, 0}, {length, 0}, {length, -thick}, {0, -thick}}
		open := make([]point, len(closed))
		for i, c := range closed {
			closed[i] = point{x + dir*c.x, y + c.y}
			open[i] = point{x + dir*(c.x*cos-c.y*sin), y + c.x*sin + c.y*cos}
		}
		p.area(hidden, closed...)
		p.area(outline, open...)
		return open[2]
	}
	p.text(2, 2.5, small, left, "a pair of inset doors from above (front is below)")
	p.hatched(rectangle(2, 4, 12, 7)...)
	p.hatched(rectangle(52, 4, 62, 7)...)
	tip := leaf(12, 7, 20, 1)
	leaf(52, 7, 20, -1)
	p.angle(point{12, 7}, 15, 0, opened, key("C10"))
	p.across(tip, point{64 - tip.x, tip.y}, 33, key("C11"))
	p.leader(15, 17, 7, 20, key("C9"))
	p.text(39, 10.5, small, centre, "closed: dashed")

	p.text(2, 41.5, small, left, "an overlay door, closed")
	p.hatched(rectangle(2, 43, 16, 46)...)
	p.hatched(rectangle(48, 43, 62, 46)...)
	p.box(outline, 12, 46, 52, 48.6)
	p.across(point{12, 48.6}, point{16, 46}, 55, key("C8"))
	p.across(point{48, 46}, point{52, 48.6}, 55, tag{})
	p.put(41.5, 55, key("C8"), false)
	p.leader(31, 47.3, 32, 41, key("C9"))
}

// drawFixtures draws built-in things from the front and from above.
func drawFixtures(p pen) {
	p.text(2, 2.5, small, left, "inside, from the front")
	p.box(outline, 2, 4, 62, 28)
	p.box(outline, 24, 4, 32, 15)
	p.line(chain, 28, 2.5, 28, 17)
	p.across(point{2, 24}, point{24, 15}, 24, key("D4"))
	p.across(point{24, 15}, point{32, 15}, 19.5, key("D1"))
	p.up(point{32, 4}, point{32, 15}, 47, key("D3"))
	p.up(point{32, 15}, point{57, 28}, 57, key("D6"))
	p.text(2, 32.5, small, left, "inside, from above (front is below)")
	p.box(outline, 2, 34, 62, 58)
	p.circle(outline, 28, 41, 4)
	p.line(chain, 22.5, 41, 33.5, 41)
	p.line(chain, 28, 35.5, 28, 46.5)
	p.up(point{28, 37}, point{28, 45}, 42, tag{})
	p.put(48, 41, key("D2"), false)
	p.up(point{28, 45}, point{12, 58}, 12, key("D5"))
}

// drawDisplay draws the display cut along its width, and from above.
func drawDisplay(p pen) {
	p.hatched(rectangle(10, 4, 11.6, 30)...)
	p.hatched(rectangle(50.4, 4, 52, 30)...)
	p.hatched(rectangle(10, 30, 52, 31.6)...)
	p.level(11.6, 50.4, 8)
	p.line(hidden, 11.6, 13, 50.4, 13)
	p.line(narrow, 11.6, 26, 50.4, 26)
	for i := range 12 {
		p.circle(solidly, 14+3.1*float64(i), 28+0.7*float64(i%3-1), 0.25)
	}
	p.across(point{10, 31.6}, point{52, 31.6}, 37, key("E1"))
	p.up(point{10, 4}, point{10, 31.6}, 4, key("E3"))
	p.across(point{10, 20}, point{11.6, 20}, 20, key("E4"))
	p.up(point{52, 4}, point{50.4, 8}, 57, tag{})
	p.put(61, 6, key("E5"), false)
	p.up(point{36, 8}, point{36, 13}, 36, tag{})
	p.put(36, 19.5, key("E6"), false)
	p.up(point{50.4, 26}, point{50.4, 30}, 57, tag{})
	p.put(61, 28, key("E7"), false)
	p.box(outline, 10, 43, 52, 57)
	p.box(narrow, 11.6, 44.6, 50.4, 55.4)
	p.up(point{52, 43}, point{52, 57}, 58, key("E2"))
	p.text(31, 51, small, centre, "from above")
}

// drawSump draws the sump cut along its length, and its rim larger.
func drawSump(p pen) {
	p.hatched(rectangle(8, 5, 9.4, 31)...)
	p.hatched(rectangle(58.6, 5, 60, 31)...)
	p.hatched(rectangle(8, 31, 60, 32.4)...)
	p.box(outline, 7.2, 5, 60.8, 7.4)
	p.hatched(rectangle(28, 14, 29.2, 31)...)
	p.hatched(rectangle(32.4, 10, 33.6, 27)...)
	p.hatched(rectangle(36.8, 17, 38, 31)...)
	p.level(9.4, 28, 13)
	p.level(29.2, 32.4, 13)
	p.level(33.6, 36.8, 15.8)
	p.level(38, 58.6, 20)
	p.line(narrow, 12, -0.5, 12, 4)
	p.arrow(12, 4, 0, 1)
	p.put(16.5, 1.6, key("F10"), false)
	p.across(point{8, 32.4}, point{60, 32.4}, 37, key("F1"))
	p.up(point{8, 5}, point{8, 32.4}, 3, key("F3"))
	p.across(point{9.4, 28.2}, point{28, 28.2}, 28.2, key("F12"))
	p.up(point{28, 14}, point{24, 31}, 24, key("F13"))
	p.up(point{33.6, 27}, point{36, 31}, 42, tag{})
	p.put(46.5, 28, key("F14"), false)
	p.across(point{36.8, 17}, point{38, 17}, 11, key("F15"))
	p.up(point{55, 20}, point{55, 31}, 55, key("F11"))

	q := p.moved(6, 39.5)
	q.text(-4, 3, small, left, "rim, larger")
	q.hatched(rectangle(20, 3, 23, 16)...)
	q.lines(outline, point{20, 8.5}, point{17, 8.5}, point{17, 1.5}, point{28, 1.5}, point{28, 4}, point{23, 4})
	q.up(point{17, 1.5}, point{17, 8.5}, 12, tag{})
	q.put(7.5, 8, key("F5"), false)
	q.across(point{17, 8.5}, point{20, 16}, 18.6, key("F6"))
	q.across(point{23, 7.5}, point{28, 4}, 7.5, key("F7"))
	q.across(point{20, 12.5}, point{23, 12.5}, 12.5, tag{})
	q.put(42, 12.5, key("F4"), false)
	q.line(narrow, 27, 12.5, 39.5, 12.5)
}

// drawSumpPlace draws the sump in the cabinet from above.
func drawSumpPlace(p pen) {
	p.hatched(rectangle(2, 2, 62, 3.2)...)
	p.hatched(rectangle(2, 3.2, 4, 34)...)
	p.hatched(rectangle(60, 3.2, 62, 34)...)
	p.hatched(rectangle(2, 34, 12, 36)...)
	p.hatched(rectangle(52, 34, 62, 36)...)
	p.line(hidden, 12, 36, 52, 36)
	p.box(outline, 16, 6, 52, 23)
	p.box(narrow, 17.2, 7.2, 50.8, 21.8)
	p.line(narrow, 30, 7.2, 30, 21.8)
	p.across(point{4, 15}, point{16, 15}, 15, key("F8"))
	p.up(point{36, 23}, point{36, 34}, 36, key("F9"))
	p.up(point{52, 6}, point{52, 23}, 56, key("F2"))
	p.text(32, 39.2, small, centre, "front")
}

// drawThing draws a skimmer from the front.
func drawThing(p pen) {
	p.line(outline, 4, 38, 56, 38)
	p.box(outline, 16, 16, 32, 38)
	p.box(outline, 14, 9, 34, 16)
	p.box(outline, 32, 30, 42, 38)
	p.lines(phantom, point{14, 9}, point{14, 4}, point{34, 4}, point{34, 9})
	p.up(point{34, 4}, point{34, 9}, 38, tag{})
	p.put(43.5, 6.5, key("G7"), false)
	p.up(point{14, 9}, point{16, 38}, 8, key("G3"))
	p.across(point{14, 16}, point{42, 30}, 23, key("G1"))
	p.text(24, 13.5, small, centre, "cup")
	p.text(24, 33, small, centre, "body")
	p.text(37, 35, small, centre, "pump")
}

// drawChamber draws a thing in its chamber from above.
func drawChamber(p pen) {
	p.hatched(rectangle(2, 3, 58, 5)...)
	p.hatched(rectangle(2, 34, 58, 36)...)
	p.hatched(rectangle(2, 5, 4, 34)...)
	p.hatched(rectangle(54, 5, 55.6, 34)...)
	p.circle(outline, 28, 15, 7)
	p.line(chain, 19, 15, 37, 15)
	p.line(chain, 28, 6, 28, 24)
	p.across(point{4, 14}, point{21, 15}, 27, key("G4"))
	p.up(point{28, 22}, point{32, 34}, 28, key("G5"))
	p.up(point{28, 8}, point{28, 22}, 44, key("G2"))
	p.text(30, 40, small, centre, "one chamber from above (front is below)")
}

// drawHand draws a place for a hand.
func drawHand(p pen) {
	p.box(outline, 4, 3, 56, 36)
	p.line(chain, 31, 13, 41, 13)
	p.line(chain, 36, 8, 36, 18)
	p.circle(outline, 36, 13, 2)
	p.across(point{4, 14}, point{36, 13}, 24, key("H1"))
	p.up(point{36, 13}, point{36, 36}, 46, key("H3"))
	p.text(30, 40, small, centre, "inside, from the front (H2: from front to back)")
}

// drawFloor draws joists under the cabinet, and one of them cut.
func drawFloor(p pen) {
	p.hatched(rectangle(2, 3, 46, 5)...)
	p.hatched(rectangle(2, 47, 46, 49)...)
	for _, x := range []float64{5, 17.5, 30, 42.5} {
		p.line(outline, x-1, 5, x-1, 47)
		p.line(outline, x+1, 5, x+1, 47)
		p.line(chain, x, 4, x, 48)
	}
	p.box(phantom, 10, 10, 36, 22)
	p.text(23.5, 20.5, small, centre, "cabinet")
	p.across(point{17.5, 34}, point{30, 34}, 34, key("J4"))
	p.up(point{46, 5}, point{46, 47}, 50, key("J5"))
	p.up(point{23.5, 5}, point{23.5, 10}, 23.5, tag{})
	p.put(23.5, 15.5, key("J7"), false)
	p.across(point{10, 22}, point{17.5, 26}, 26, key("J8"))
	p.text(24, 53, small, centre, "from above (front is below)")
	p.hatched(rectangle(57.5, 14, 60, 30)...)
	p.hatched(rectangle(54, 12, 64, 14)...)
	p.leader(62.5, 13, 60, 6.5, key("J9"))
	p.across(point{57.5, 30}, point{60, 30}, 35, tag{})
	p.put(58.7, 40, key("J1"), false)
	p.up(point{57.5, 14}, point{57.5, 30}, 54.5, tag{})
	p.put(54.5, 22, key("J2"), false)
}
