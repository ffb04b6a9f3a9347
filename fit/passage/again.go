package passage

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/binary"
	"math"
	"reflect"
	"slices"
	"sync"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/internal/verify"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// Near is how far from rest, along each axis, the places are that a passage
// counts as being there, turned as at rest. A no that rests on a proof holds for
// every such place.
const Near unit.Length = near

// Ample is the room to spare above which nobody needs to know more, unless more is
// wanted.
const Ample unit.Length = measured

type briefKey struct{}

// Briefly returns a context in which jobs are decided without the longest
// searches and proofs, and without looking for the widest way: for one of many
// plans that are tried. What is found is as sure as ever; more is left unsure, or
// tight with less to spare than there might be.
func Briefly(ctx context.Context) context.Context { return context.WithValue(ctx, briefKey{}, true) }

func brief(ctx context.Context) bool { return ctx.Value(briefKey{}) != nil }

type foundKey struct{}

// AsFound returns a context in which Check tells of ways as they are found, and does
// not look for how much more room to spare there is.
func AsFound(ctx context.Context) context.Context { return context.WithValue(ctx, foundKey{}, true) }

func asFound(ctx context.Context) bool { return ctx.Value(foundKey{}) != nil }

type waysKey struct{}

// WaysOnly returns a context like that of Briefly in which only cheap proofs are
// looked for, for who asks whether there is a way and not whether there is none.
func WaysOnly(ctx context.Context) context.Context {
	return context.WithValue(Briefly(ctx), waysKey{}, true)
}

func waysOnly(ctx context.Context) bool { return ctx.Value(waysKey{}) != nil }

type amplyKey struct{}

// Amply returns a context like that of Briefly in which only ways that keep all the
// room that is wanted are looked for, for whom a tight one is no better than none.
func Amply(ctx context.Context) context.Context {
	return context.WithValue(WaysOnly(ctx), amplyKey{}, true)
}

func amply(ctx context.Context) bool { return ctx.Value(amplyKey{}) != nil }

// A Memory keeps what jobs came to, for many plans in which the same job turns up
// again: the same solids, measures and room wanted, looked into as long. What is
// remembered is what would be found again. It keeps ways, too, that are tried on
// other jobs about the same thing and opening once Learn was called. It may be used by
// several goroutines at once.
type Memory struct {
	mu    sync.Mutex
	asked map[[sha256.Size]byte]*answered
	// ways are tried; found are those since Learn was called.
	ways  map[likeness][]solid.Path
	found map[likeness][]lesson
}

// answered is what one job came to.
type answered struct {
	mu  sync.Mutex
	way *Way // nil: not known yet
}

// A likeness is what two jobs have in common of which one's way is tried on the other.
type likeness struct{ thing, group, opening string }

func (j *Job) likeness() likeness { return likeness{j.Thing, j.group, j.Opening.Name} }

// A lesson is a way that was found, and the job it was found for.
type lesson struct {
	job  [sha256.Size]byte
	path solid.Path
}

// mostKnown is how many ways are tried on a job: those learned last.
const mostKnown = 6

// Learn makes the ways that were found since it was called last known to whoever asks
// from now on. That nobody knows them before keeps answers the same whichever of
// several goroutines finds them first.
func (m *Memory) Learn() {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.ways == nil {
		m.ways = map[likeness][]solid.Path{}
	}
	for l, fresh := range m.found {
		slices.SortFunc(fresh, func(a, b lesson) int { return bytes.Compare(a.job[:], b.job[:]) })
		for _, f := range fresh {
			m.ways[l] = append(m.ways[l], f.path)
		}
		m.ways[l] = m.ways[l][max(0, len(m.ways[l])-mostKnown):]
	}
	m.found = nil
}

type memoryKey struct{}

// Remembering returns a context in which no job is decided twice.
func Remembering(ctx context.Context, m *Memory) context.Context {
	return context.WithValue(ctx, memoryKey{}, m)
}

func memoryOf(ctx context.Context) *Memory {
	m, _ := ctx.Value(memoryKey{}).(*Memory)
	return m
}

// remembered returns what the job came to before, or else does now. What a context
// that ended left undecided is not kept.
func (j *Job) remembered(ctx context.Context, noOnly bool, decide func(context.Context) Way) Way {
	m := memoryOf(ctx)
	if m == nil {
		return decide(ctx)
	}
	key := j.key(brief(ctx), waysOnly(ctx), amply(ctx), noOnly)
	m.mu.Lock()
	if m.asked == nil {
		m.asked = map[[sha256.Size]byte]*answered{}
	}
	a := m.asked[key]
	if a == nil {
		a = &answered{}
		m.asked[key] = a
	}
	m.mu.Unlock()
	a.mu.Lock()
	defer a.mu.Unlock()
	if a.way == nil {
		w := decide(ctx)
		if ctx.Err() != nil {
			return w
		}
		a.way = &w
		if w.Going() {
			m.note(j.likeness(), lesson{key, w.Path})
		}
	}
	w := *a.way
	w.Path.Poses = slices.Clone(w.Path.Poses) // each may go on from it
	w.Used = slices.Clone(w.Used)
	return w
}

func (m *Memory) note(l likeness, found lesson) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.found == nil {
		m.found = map[likeness][]lesson{}
	}
	m.found[l] = append(m.found[l], found)
}

// known looks for a way that keeps spare, in mm, among those that are known of like
// jobs.
func (p *posed) known(ctx context.Context, spare float64) (found, bool) {
	m := memoryOf(ctx)
	if m == nil {
		return found{}, false
	}
	m.mu.Lock()
	ways := slices.Clone(m.ways[p.likeness()])
	m.mu.Unlock()
	for _, path := range slices.Backward(ways) {
		if f, ok := p.like(path, spare); ok {
			return f, true
		}
	}
	return found{}, false
}

// like looks for a way that keeps spare among those that are as one known of another
// thing, or of this one elsewhere: it is followed up to some pose, and from there on
// moved along by how far rest is from that one's. Only what is verified counts.
func (p *posed) like(path solid.Path, spare float64) (found, bool) {
	n := len(path.Poses)
	if n < 3 {
		return found{}, false
	}
	ref := p.reference()
	by := r3.Sub(ref, path.Ref)
	for k := range n - 1 {
		way := solid.Path{Ref: ref}
		for i, q := range path.Poses[:n-1] {
			at := q.Apply(path.Ref)
			if i >= k {
				at = r3.Add(at, by)
			}
			way.Poses = append(way.Poses, solid.Pose{Turn: q.Turn, Shift: r3.Sub(at, q.Rotate(ref))})
		}
		way.Poses[0] = p.drawnOut(way.Poses[0])
		if f, ok := p.followed(way, spare); ok {
			return f, true
		}
		if by == (r3.Vec{}) {
			break
		}
	}
	return found{}, false
}

// followed is holds of a way that still lacks the move to rest, and how the thing comes to
// where it begins beside an open door.
func (p *posed) followed(way solid.Path, spare float64) (found, bool) {
	in, ok := p.brought(p.easer(spare), solid.Path{Ref: p.ref, Poses: p.inFrameAll(way.Poses)})
	if !ok {
		return found{}, false
	}
	for i, q := range in.Poses[:len(in.Poses)-len(way.Poses)] {
		way.Poses = slices.Insert(way.Poses, i, p.inScene(q))
	}
	way.Poses = append(way.Poses, solid.Rest)
	return p.holds(way, spare)
}

// drawnOut returns a pose moved out of the opening until the whole thing is outside.
func (p *posed) drawnOut(q solid.Pose) solid.Pose {
	b := solid.BoundsOf(moved(moved(solidsOf(p.Parts), q), p.frame)...)
	if more := b.Max.Y - p.outside; more > 0 {
		q.Shift = r3.Add(q.Shift, p.back.Rotate(r3.Vec{Y: -more}))
	}
	return q
}

// holds verifies a whole way in the scene's frame: quickly that it keeps spare, then
// how much it keeps.
func (p *posed) holds(way solid.Path, spare float64) (found, bool) {
	n := len(way.Poses)
	in := solid.Path{Ref: way.Ref, Poses: way.Poses[:n-1]}
	if verify.Keeps(solidsOf(p.Parts), in, solidsOf(p.Others), spare) != nil ||
		verify.Keeps(solidsOf(p.Open), in, solidsOf(p.Reaching), spare) != nil {
		return found{}, false
	}
	f := found{path: way}
	var err error
	if f.clear, err = p.prove(way); err != nil || !(f.clear.Low >= spare) {
		return found{}, false
	}
	return f, true
}

// key returns a digest of all that the answer to a job depends on.
func (j *Job) key(how ...bool) [sha256.Size]byte {
	var b bytes.Buffer
	for _, h := range how {
		digest(&b, reflect.ValueOf(h))
	}
	digest(&b, reflect.ValueOf(j))
	return sha256.Sum256(b.Bytes())
}

// digest writes down a value and all that it holds, pointers followed, so that what
// differs is written differently.
func digest(b *bytes.Buffer, v reflect.Value) {
	word := func(n uint64) { b.Write(binary.LittleEndian.AppendUint64(nil, n)) }
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if v.IsNil() {
			b.WriteByte(0)
			return
		}
		b.WriteByte(1)
		if v.Kind() == reflect.Interface {
			b.WriteString(v.Elem().Type().String())
		}
		digest(b, v.Elem())
	case reflect.Struct:
		for _, f := range v.Fields() {
			digest(b, f)
		}
	case reflect.Slice, reflect.Array:
		word(uint64(v.Len()))
		for i := range v.Len() {
			digest(b, v.Index(i))
		}
	case reflect.String:
		word(uint64(v.Len()))
		b.WriteString(v.String())
	case reflect.Bool:
		if v.Bool() {
			b.WriteByte(1)
		} else {
			b.WriteByte(0)
		}
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		word(uint64(v.Int()))
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64, reflect.Uintptr:
		word(v.Uint())
	case reflect.Float32, reflect.Float64:
		word(math.Float64bits(v.Float()))
	case reflect.Invalid, reflect.Complex64, reflect.Complex128, reflect.Chan, reflect.Func, reflect.Map, reflect.UnsafePointer:
		panic("passage: a job holds a " + v.Kind().String())
	}
}
