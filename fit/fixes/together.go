package fixes

import (
	"cmp"
	"slices"
	"strings"

	"undercroft/fit/verdict"
	"undercroft/scene/plan"
)

// A lever is one kind of change, made as small as will do.
type lever struct {
	// edits and fix tell what n steps of it are, from first on as far as most.
	first, most int
	edits       func(n int) []plan.Edit
	fix         func(n int) Fix
	steady      bool // the more of it, the more it helps
	whole       bool // who does it at all does as much as makes the check ok
	vain        int  // so many steps are known to be of no help
}

// at returns the change of n steps.
func (l *lever) at(n int) Fix {
	x := l.fix(n)
	x.Edits = l.edits(n)
	return x
}

// pull offers as little of a lever as will do: to make a no tight, and to make it ok.
func (t *task) pull(l lever) {
	if l.most < 1 {
		return
	}
	t.levers = append(t.levers, l)
	tight := 0
	if t.was == verdict.No && !l.whole {
		if tight = t.size(&l, verdict.Tight); tight == 0 {
			return
		}
		t.offer(l.at(tight))
	}
	n := t.size(&l, verdict.OK)
	if n > 0 && n != tight && t.offer(l.at(n)) || !l.whole || t.was != verdict.No {
		return
	}
	if tight = t.size(&l, verdict.Tight); tight > 0 && tight != n {
		t.offer(l.at(tight))
	}
}

// change offers a change that is made or not.
func (t *task) change(x Fix) {
	t.levers = append(t.levers, lever{
		first: 1, most: 1, steady: true, edits: func(int) []plan.Edit { return x.Edits }, fix: func(int) Fix { return x },
	})
	t.offer(x)
}

// mostTogether is how many changes are offered to be made together at most.
const mostTogether = 3

// pulled is a lever and how far.
type pulled struct {
	*lever
	n int
}

// together offers a few changes that help where none does by itself: all of those
// that help the more the farther they go, without whatever is not needed, the
// greatest effort left out first, and then each as small as will do.
func (t *task) together() {
	var set []pulled
	for i := range t.levers {
		if l := &t.levers[i]; l.steady && (!t.full() || !l.fix(l.most).Effort.bears()) && apart(set, l.edits(l.most)) {
			set = append(set, pulled{l, l.most})
		}
	}
	good := func(set []pulled) bool { return t.promising(editsOf(set), verdict.No) }
	if len(set) < 2 || !good(set) {
		return
	}
	slices.SortStableFunc(set, func(a, b pulled) int { return cmp.Compare(a.fix(a.n).Effort, b.fix(b.n).Effort) })
	for i := range slices.Backward(set) {
		if less := slices.Delete(slices.Clone(set), i, i+1); len(less) > 0 && good(less) {
			set = less
		}
	}
	if len(set) > mostTogether {
		return
	}
	for i := range slices.Backward(set) {
		p := &set[i]
		if p.most == 1 {
			continue
		}
		n := least(p.first, p.most, doubling, func(n int) bool {
			less := slices.Clone(set)
			less[i].n = n
			return t.reaches(t.enough(), editsOf(less))
		})
		if n > 0 {
			p.n = n
		}
	}
	x := Fix{Edits: editsOf(set)}
	var texts []string
	for _, p := range set {
		y := p.fix(p.n)
		x.Effort = max(x.Effort, y.Effort)
		x.Bears = x.Bears || y.Effort.bears()
		texts = append(texts, y.Text)
		if !strings.Contains(x.Caution, y.Caution) {
			x.Caution = strings.TrimSpace(x.Caution + " " + y.Caution)
		}
	}
	x.Text = strings.Join(texts, "; and ")
	x.Changes = len(set)
	t.offer(x)
}

// apart tells whether no edit touches what one of a set does.
func apart(set []pulled, edits []plan.Edit) bool {
	within := func(a, b string) bool {
		rest, ok := strings.CutPrefix(a, b)
		return ok && (rest == "" || rest[0] == '.' || rest[0] == '[')
	}
	for _, e := range edits {
		for _, f := range editsOf(set) {
			if within(e.Key, f.Key) || within(f.Key, e.Key) {
				return false
			}
		}
	}
	return len(edits) > 0
}

// editsOf returns the edits of a set. Items are taken out of lists after all else,
// the last first, since those behind move up.
func editsOf(set []pulled) []plan.Edit {
	var out, gone []plan.Edit
	for _, p := range set {
		for _, e := range p.edits(p.n) {
			if e.Value == "" && strings.HasSuffix(e.Key, "]") {
				gone = append(gone, e)
			} else {
				out = append(out, e)
			}
		}
	}
	slices.SortStableFunc(gone, func(a, b plan.Edit) int {
		if d := cmp.Compare(len(b.Key), len(a.Key)); d != 0 {
			return d
		}
		return cmp.Compare(b.Key, a.Key)
	})
	return append(out, gone...)
}
