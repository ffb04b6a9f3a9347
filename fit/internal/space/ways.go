package space

// place is a piece of a leaf in the graph of pieces that touch.
type place struct {
	Piece
	leaf int32
	// Of one that is unlikely to be free: its grades, from the first on, the depths at which
	// it is on the barrier, and down to what size of its cell what comes of it is.
	grade, grades        int32
	bar0, bar1, smallest float64
}

// barred tells whether a place is on the barrier.
func (p *place) barred() bool { return p.bar0 < p.bar1 }

// toll is what ways come to at a place.
type toll struct {
	own int32 // what the place adds to the cost of a way: 0 where it is known to be free
	// cost is the least cost of a way to and with it, prev the place before on such a way.
	cost, prev int32
	// after is the first of the places that come after it on such ways, next and last the
	// others that come after the same place.
	after, next, last int32
	from, to          bool // whether ways come from it, or end there
	gone              bool
}

const (
	unreached = 1<<31 - 1
	noPlace   = int32(-1)
)

// ways are the cheapest ways through the places there are, kept while places come
// and go.
type ways struct {
	places  []place
	tolls   []toll // of the places, apart from them: ways are looked for all the time
	joints  links  // between places that a body gets from one to the other
	queue   queue  // of what is to be passed on
	there   queue  // of places that ways end at
	stack   []int32
	orphans []int32
}

func (w *ways) add(p place, t toll) {
	t.cost, t.prev, t.after, t.next, t.last = unreached, noPlace, noPlace, noPlace, noPlace
	w.places, w.tolls = append(w.places, p), append(w.tolls, t)
}

// link joins two places where a body gets from one to the other.
func (w *ways) link(a, b int32) {
	if !w.tolls[a].gone && !w.tolls[b].gone && w.places[a].joins(&w.places[b].Piece) {
		w.joints.join(a, b)
	}
}

// live returns the places next to n that are not gone.
func (w *ways) live(n int32) []int32 {
	next := w.joints.of(n)
	kept := next[:0]
	for _, m := range next {
		if !w.tolls[m].gone {
			kept = append(kept, m)
		}
	}
	w.joints.keep(n, kept)
	return kept
}

// remove takes places away, and leaves what was reached through them to be reached
// anew by mend.
func (w *ways) remove(ids []int32) {
	w.stack = append(w.stack[:0], ids...)
	w.orphans = w.orphans[:0]
	for len(w.stack) > 0 {
		n := w.stack[len(w.stack)-1]
		w.stack = w.stack[:len(w.stack)-1]
		for m := w.tolls[n].after; m != noPlace; {
			q := &w.tolls[m]
			w.stack, w.orphans = append(w.stack, m), append(w.orphans, m)
			m = q.next
			q.cost, q.prev, q.next, q.last = unreached, noPlace, noPlace, noPlace
		}
		w.tolls[n].after = noPlace
	}
	for _, n := range ids {
		w.follow(n, noPlace)
		p := &w.tolls[n]
		p.gone, p.cost = true, unreached
		w.joints.leave(n)
	}
}

// follow makes prev the place before n.
func (w *ways) follow(n, prev int32) {
	p := &w.tolls[n]
	switch {
	case p.last != noPlace:
		w.tolls[p.last].next = p.next
	case p.prev != noPlace:
		w.tolls[p.prev].after = p.next
	}
	if p.next != noPlace {
		w.tolls[p.next].last = p.last
	}
	p.prev, p.last, p.next = prev, noPlace, noPlace
	if prev == noPlace {
		return
	}
	q := &w.tolls[prev]
	if p.next = q.after; p.next != noPlace {
		w.tolls[p.next].last = n
	}
	q.after = n
}

// mend finds ways again to what was cut off, and to the places fresh.
func (w *ways) mend(fresh []int32) {
	for _, n := range w.orphans {
		w.reach(n)
	}
	for _, n := range fresh {
		w.reach(n)
	}
	w.settle()
}

// reach finds the best of what is next to n for a way to n.
func (w *ways) reach(n int32) {
	p := &w.tolls[n]
	if p.gone {
		return
	}
	if p.from {
		w.improve(n, p.own, noPlace)
	}
	for _, m := range w.live(n) {
		if q := &w.tolls[m]; q.cost != unreached {
			w.improve(n, q.cost+p.own, m)
		}
	}
}

func (w *ways) improve(n, cost, prev int32) {
	p := &w.tolls[n]
	if cost < p.cost {
		p.cost = cost
		w.follow(n, prev)
		w.queue.push(n, cost)
		if p.to {
			w.there.push(n, cost)
		}
	}
}

// current tells whether a place still has the cost with which it was queued.
func (w *ways) current(n, cost int32) bool { return w.tolls[n].cost == cost }

// settle passes on what was improved, until nothing is left that a better way to the
// other end could lead by.
func (w *ways) settle() {
	for {
		n, cost, ok := w.queue.next(w.current)
		if !ok {
			return
		}
		if _, least, ok := w.best(); ok && least <= cost {
			return
		}
		w.queue.drop()
		for _, m := range w.live(n) {
			w.improve(m, cost+w.tolls[m].own, n)
		}
	}
}

// best returns the end of the cheapest way, and what that costs.
func (w *ways) best() (n, cost int32, ok bool) { return w.there.next(w.current) }

// queue hands out places in the order of their cost, and of equal cost in the
// order they came. A place that was improved since is handed out again, with the
// cost it came with.
type queue struct {
	levels []level
	now    int
}

type level struct {
	places []int32
	next   int
}

func (q *queue) push(n, cost int32) {
	for int(cost) >= len(q.levels) {
		q.levels = append(q.levels, level{})
	}
	q.levels[cost].places = append(q.levels[cost].places, n)
	q.now = min(q.now, int(cost))
}

// next returns the first place that is still current, and leaves it where it is.
func (q *queue) next(current func(n, cost int32) bool) (n, cost int32, ok bool) {
	for q.now < len(q.levels) {
		l := &q.levels[q.now]
		for l.next < len(l.places) {
			if n := l.places[l.next]; current(n, int32(q.now)) {
				return n, int32(q.now), true
			}
			l.next++
		}
		l.places, l.next = l.places[:0], 0
		q.now++
	}
	return noPlace, 0, false
}

// drop takes out what next returned.
func (q *queue) drop() { q.levels[q.now].next++ }
