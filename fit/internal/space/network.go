package space

import (
	"math"
	"slices"
)

// A network is the places there are as a flow goes through them from outside to the end.
// The most that gets through is the least that it takes to part the two (Ford and
// Fulkerson, 1956), and it is found by filling the shortest ways, all of one length at a
// time (Dinic, 1970). Each grade of an unlikely place is a node, which lets through as much
// as its price. Of the others those that are joined are one; nodes 0 and 1 are the outside
// and the end.
type network struct {
	node  []int32 // of each place, of its first grade; noNode of one that is gone
	place []int32 // of each node that has a price; noPlace of others
	left  []int64 // what each node lets through more
	sent  []int64 // what goes through it
	first []int32 // of its pipes, those of the next node following
	pipes []pipe

	// Of each node as what is entered, and as what is left:
	level, next []int32

	queue, seen []int32
	joints      [][2]int32
	steps       []step
	ways        *ways
	grades      []grade
}

// A pipe leads from one node to another, and lets through whatever comes; back is the one
// the other way.
type pipe struct {
	to, back int32
	sent     int64
}

// A step leads from one end of a node to another end, by a pipe or inside of the node.
type step struct{ from, pipe int32 }

const (
	outsideNode, endNode = int32(0), int32(1)
	noNode               = int32(-1)
	inside               = int32(-1) // in place of a pipe
)

// entered and leaving are the ends of a node.
func entered(n int32) int32 { return 2 * n }
func leaving(n int32) int32 { return 2*n + 1 }

// A crossing is where a barrier leads through a place, at depths from y0 to y1.
type crossing struct {
	place  int32
	y0, y1 float64
}

// barrier returns what it takes least to shut for the outside and the end to be apart, of
// all such that nearest to the end; nil where there is a way that hardly anything shuts.
func (f *network) barrier(w *ways, grades []grade) []crossing {
	f.ways, f.grades = w, grades
	if !f.build() {
		return nil
	}
	for f.levels() {
		f.fill()
	}
	var out []crossing
	for i, place := range f.place {
		n := int32(i)
		if place == noPlace || f.level[entered(n)] >= 0 || f.level[leaving(n)] < 0 {
			continue
		}
		p := &w.places[place]
		k := p.grade + n - f.node[place]
		c := crossing{place, p.Y0, grades[k].to}
		if k > p.grade {
			c.y0 = grades[k-1].to
		}
		if grades[k].price == dearest {
			return nil
		}
		out = append(out, c)
	}
	return out
}

// build lays the network; ok is false where there is a way without a price.
func (f *network) build() (ok bool) {
	w := f.ways
	f.node = resized(f.node, len(w.places))
	for i := range f.node {
		f.node[i] = noNode
	}
	f.place, f.left = append(f.place[:0], noPlace, noPlace), append(f.left[:0], math.MaxInt64, math.MaxInt64)
	for i := range w.places {
		n, p := int32(i), &w.places[i]
		switch {
		case w.tolls[n].gone || f.node[n] != noNode:
		case p.grades > 0:
			f.node[n] = int32(len(f.place))
			for _, g := range f.grades[p.grade:][:p.grades] {
				f.add(n, int64(g.price))
			}
		default:
			if !f.flood(n) {
				return false
			}
		}
	}
	f.joints = f.joints[:0]
	f.seen = resized(f.seen, len(f.place))
	clear(f.seen)
	for i := range w.places {
		if n := int32(i); f.node[n] != noNode && w.places[n].grades > 0 {
			f.joinAll(n)
		}
	}
	f.lay()
	return true
}

// add adds a node.
func (f *network) add(place int32, most int64) int32 {
	f.place, f.left = append(f.place, place), append(f.left, most)
	return int32(len(f.place) - 1)
}

// joinAll joins the grades of a place one to the next, and to what the place is joined to.
func (f *network) joinAll(n int32) {
	w := f.ways
	p := &w.places[n]
	for k := range p.grades - 1 {
		f.join(f.node[n]+k, f.node[n]+k+1)
	}
	for _, q := range w.live(n) {
		o := &w.places[q]
		if o.grades == 0 {
			f.cross(n, f.node[q], o.Y0, o.Y1)
			continue
		}
		if q < n {
			continue // seen from there
		}
		from := o.Y0
		for k, g := range f.grades[o.grade:][:o.grades] {
			f.cross(n, f.node[q]+int32(k), from, g.to)
			from = g.to
		}
	}
	inf := math.Inf(1)
	if w.tolls[n].from {
		f.cross(n, outsideNode, -inf, inf)
	}
	if w.tolls[n].to {
		f.cross(n, endNode, -inf, inf)
	}
}

// cross joins those grades of a place that have depths in common with y0 to y1 to a node.
func (f *network) cross(n, node int32, y0, y1 float64) {
	p := &f.ways.places[n]
	from := p.Y0
	for k, g := range f.grades[p.grade:][:p.grades] {
		if from <= y1 && y0 <= g.to {
			f.join(f.node[n]+int32(k), node)
		}
		from = g.to
	}
}

// join joins a node with a price to another one.
func (f *network) join(n, m int32) {
	if f.place[m] == noPlace { // other places of which it is may be joined, too
		if f.seen[m] == n {
			return
		}
		f.seen[m] = n
	}
	f.joints = append(f.joints, [2]int32{n, m})
}

// flood makes one node of all places without a price that are joined to n; ok is false
// where these lead from outside to the end.
func (f *network) flood(n int32) (ok bool) {
	w := f.ways
	f.node[n] = endNode // seen
	f.queue = append(f.queue[:0], n)
	from, to := false, false
	for i := 0; i < len(f.queue); i++ {
		p := f.queue[i]
		from, to = from || w.tolls[p].from, to || w.tolls[p].to
		for _, q := range w.live(p) {
			if f.node[q] == noNode && w.places[q].grades == 0 {
				f.node[q] = endNode
				f.queue = append(f.queue, q)
			}
		}
	}
	node := endNode
	switch {
	case from && to:
		return false
	case from:
		node = outsideNode
	case !to:
		node = f.add(noPlace, math.MaxInt64)
	}
	for _, p := range f.queue {
		f.node[p] = node
	}
	return true
}

// lay lays pipes both ways where nodes are joined.
func (f *network) lay() {
	nodes := len(f.place)
	f.first = resized(f.first, nodes+1)
	clear(f.first)
	for _, j := range f.joints {
		f.first[j[0]+1]++
		f.first[j[1]+1]++
	}
	for n := range nodes {
		f.first[n+1] += f.first[n]
	}
	f.pipes = resized(f.pipes, 2*len(f.joints))
	f.queue = append(f.queue[:0], f.first[:nodes]...)
	at := f.queue // where the next pipe of each node comes
	for _, j := range f.joints {
		a, b := at[j[0]], at[j[1]]
		f.pipes[a], f.pipes[b] = pipe{to: j[1], back: b}, pipe{to: j[0], back: a}
		at[j[0]], at[j[1]] = a+1, b+1
	}
	f.sent = resized(f.sent, nodes)
	clear(f.sent)
	f.level, f.next = resized(f.level, 2*nodes), resized(f.next, 2*nodes)
}

// levels finds how many steps it is to the end for what may flow more, and tells whether
// any does from the outside. It looks backward: what leads nowhere is not looked at.
func (f *network) levels() bool {
	for i := range f.level {
		f.level[i] = -1
	}
	f.level[entered(endNode)] = 0
	f.queue = append(f.queue[:0], entered(endNode))
	from := func(end, level int32) {
		if f.level[end] < 0 {
			f.level[end] = level
			f.queue = append(f.queue, end)
		}
	}
	for i := 0; i < len(f.queue); i++ {
		end := f.queue[i]
		n, level := end/2, f.level[end]+1
		pipes := f.pipes[f.first[n]:f.first[n+1]]
		if end == leaving(n) {
			if f.left[n] > 0 {
				from(entered(n), level)
			}
			for k := range pipes {
				if pipes[k].sent > 0 {
					from(entered(pipes[k].to), level)
				}
			}
			continue
		}
		if f.sent[n] > 0 {
			from(leaving(n), level)
		}
		for k := range pipes {
			from(leaving(pipes[k].to), level)
		}
		if f.level[leaving(outsideNode)] >= 0 {
			return true
		}
	}
	return false
}

// fill sends as much as goes along the shortest ways.
func (f *network) fill() {
	clear(f.next)
	f.steps = f.steps[:0]
	for end := leaving(outsideNode); ; {
		if end == entered(endNode) {
			end = f.send()
			continue
		}
		if via, to, ok := f.onward(end); ok {
			f.steps = append(f.steps, step{end, via})
			end = to
			continue
		}
		if len(f.steps) == 0 {
			return
		}
		f.level[end] = -1 // it leads nowhere
		end = f.steps[len(f.steps)-1].from
		f.steps = f.steps[:len(f.steps)-1]
	}
}

// onward returns the next step from an end of a node that may lead to the end of the flow.
func (f *network) onward(end int32) (via, to int32, ok bool) {
	n, level := end/2, f.level[end]-1
	for ; ; f.next[end]++ {
		k := f.next[end] - 1 + f.first[n]
		if k >= f.first[n+1] {
			return 0, 0, false
		}
		if f.next[end] == 0 {
			if to = end ^ 1; f.level[to] == level && f.through(end, inside) > 0 {
				return inside, to, true
			}
			continue
		}
		to = entered(f.pipes[k].to)
		if end == entered(n) { // against what comes by the pipe
			to++
		}
		if f.level[to] == level && f.through(end, k) > 0 {
			return k, to, true
		}
	}
}

// through returns how much more goes along a step: forward, or back of what was sent.
func (f *network) through(end, via int32) int64 {
	n := end / 2
	switch forward := end == leaving(n); {
	case via == inside && forward:
		return f.sent[n]
	case via == inside:
		return f.left[n]
	case forward:
		return math.MaxInt64
	}
	return f.pipes[f.pipes[via].back].sent
}

// send sends what goes along all the steps, and returns where the first of them begins
// that lets no more through.
func (f *network) send() int32 {
	most := int64(math.MaxInt64)
	for _, s := range f.steps {
		most = min(most, f.through(s.from, s.pipe))
	}
	full := 0
	for _, s := range f.steps {
		n := s.from / 2
		switch forward := s.from == leaving(n); {
		case s.pipe == inside && forward:
			f.left[n], f.sent[n] = f.left[n]+most, f.sent[n]-most
		case s.pipe == inside:
			f.left[n], f.sent[n] = f.left[n]-most, f.sent[n]+most
		case forward:
			f.pipes[s.pipe].sent += most
		default:
			f.pipes[f.pipes[s.pipe].back].sent -= most
		}
	}
	for i, s := range slices.Backward(f.steps) {
		if f.through(s.from, s.pipe) == 0 {
			full = i
		}
	}
	end := f.steps[full].from
	f.steps = f.steps[:full]
	return end
}
