package reach

import (
	"context"
	"slices"
	"sync"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/scene/solid"
)

// A Memory keeps postures that were found, for many plans in which a place of the same
// name turns up again somewhere near: they are tried there first. Nothing of them is
// trusted. Found postures are tried once Learn was called. It may be used by several
// goroutines at once.
type Memory struct {
	mu sync.Mutex
	// known are tried; found are those since Learn was called.
	known, found map[likeness][]lesson
}

// A likeness is what two questions have in common of which one's posture is tried on
// the other.
type likeness struct {
	place, opening string
	grasp          int // of those that do the task
}

// A lesson is a posture that was found.
type lesson struct {
	point, axis r3.Vec
	roll        float64
	path        solid.Path
	over        bool
}

// numbers returns all that tells lessons apart.
func (l *lesson) numbers() []float64 {
	out := []float64{l.point.X, l.point.Y, l.point.Z, l.axis.X, l.axis.Y, l.axis.Z, l.roll}
	for _, p := range l.path.Poses {
		out = append(out, p.Turn.Real, p.Turn.Imag, p.Turn.Jmag, p.Turn.Kmag, p.Shift.X, p.Shift.Y, p.Shift.Z)
	}
	return out
}

// mostKnown is how many postures are tried at a place: those learned last.
const mostKnown = 6

// Learn makes the postures that were found since it was called last known to whoever
// asks from now on. That nobody knows them before keeps answers the same whichever of
// several goroutines finds them first.
func (m *Memory) Learn() {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.known == nil {
		m.known = map[likeness][]lesson{}
	}
	for l, fresh := range m.found {
		slices.SortFunc(fresh, func(a, b lesson) int { return slices.Compare(a.numbers(), b.numbers()) })
		m.known[l] = append(m.known[l], fresh...)
		m.known[l] = m.known[l][max(0, len(m.known[l])-mostKnown):]
	}
	m.found = nil
}

type memoryKey struct{}

// Remembering returns a context in which postures are kept in m and tried again.
func Remembering(ctx context.Context, m *Memory) context.Context {
	return context.WithValue(ctx, memoryKey{}, m)
}

func memoryOf(ctx context.Context) *Memory {
	m, _ := ctx.Value(memoryKey{}).(*Memory)
	return m
}

func (k *seeker) likeness(grasp int) likeness {
	return likeness{k.place.Name, k.opening.Name, grasp}
}

// note keeps a posture for others.
func (k *seeker) note(ctx context.Context, grasp int, p *posture) {
	m := memoryOf(ctx)
	if m == nil || k.place.Hands > 1 {
		return
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.found == nil {
		m.found = map[likeness][]lesson{}
	}
	l := k.likeness(grasp)
	m.found[l] = append(m.found[l], lesson{p.point, p.axis, p.roll, p.path, p.over})
}

// known returns the best posture of those that are known at such a place, verified
// here; nil for none.
func (k *seeker) known(ctx context.Context, grasp int) *posture {
	m := memoryOf(ctx)
	if m == nil || k.place.Hands > 1 {
		return nil
	}
	m.mu.Lock()
	lessons := slices.Clone(m.known[k.likeness(grasp)])
	m.mu.Unlock()
	var best *posture
	for _, l := range slices.Backward(lessons) {
		if p := k.like(&l); p != nil && p.better(best) {
			best = p
		}
		if best != nil && best.room.beyond >= 0 {
			break
		}
	}
	return best
}

// like returns the posture of a lesson at this place: its way is followed up to some
// pose, and from there on moved along by how far this place is from that one.
func (k *seeker) like(l *lesson) *posture {
	a := k.person.hold(k.grasp, k.point, l.axis, l.roll, 1)
	room := k.still(&a, 0)
	if room.free < 0 {
		return nil
	}
	by := r3.Sub(k.point, l.point)
	n := len(l.path.Poses)
	for first := range n - 1 {
		path := solid.Path{Ref: k.point}
		for i, q := range l.path.Poses[:n-1] {
			at := q.Apply(l.path.Ref)
			if i >= first {
				at = r3.Add(at, by)
			}
			pose := solid.Pose{Turn: q.Turn}
			pose.Shift = r3.Sub(at, pose.Rotate(k.point))
			path.Poses = append(path.Poses, pose)
		}
		path.Poses[0] = k.drawnOut(&a, path.Poses[0])
		path.Poses = append(path.Poses, solid.Rest)
		if p := k.finish(a, path, room); p != nil && k.begins(&a, path.Poses[0]) {
			p.over = l.over
			p.bent = p.bent || l.over
			return p
		}
		if by == (r3.Vec{}) || n == 2 {
			break
		}
	}
	return nil
}

// begins tells whether a hand is outside in a pose: all of it, where it comes across with
// the wrist bent. Else what is drawn along the forearm until its tip is outside is.
func (k *seeker) begins(a *arm, q solid.Pose) bool {
	return a.bend == 0 || !slices.ContainsFunc(a.shut, func(s solid.Solid) bool {
		return solid.Distance(s.Moved(q), solid.Box(k.outside)).Low <= 0
	})
}

// drawnOut returns a pose of an arm moved along the arm until all of the hand is outside.
func (k *seeker) drawnOut(a *arm, q solid.Pose) solid.Pose {
	axis := q.Rotate(a.along)
	tip := q.Apply(a.at(-max(a.lead, a.grasp.shut.lead)))
	q.Shift = r3.Add(q.Shift, r3.Scale(k.travel(tip, axis), axis))
	return q
}
