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

// A Memory keeps what jobs came to, for many plans in which the same job turns up
// again: the same solids, measures and room wanted, looked into as long. What is
// remembered is what would be found again. It may be used by several goroutines at
// once.
type Memory struct {
	mu    sync.Mutex
	asked map[[sha256.Size]byte]*answered
}

// answered is what one job came to.
type answered struct {
	mu  sync.Mutex
	way *Way // nil: not known yet
}

type memoryKey struct{}

// Remembering returns a context in which no job is decided twice.
func Remembering(ctx context.Context, m *Memory) context.Context {
	return context.WithValue(ctx, memoryKey{}, m)
}

// remembered returns what the job came to before, or else does now. What a context
// that ended left undecided is not kept.
func (j *Job) remembered(ctx context.Context, decide func(context.Context) Way) Way {
	m, ok := ctx.Value(memoryKey{}).(*Memory)
	if !ok {
		return decide(ctx)
	}
	key := j.key(brief(ctx), waysOnly(ctx))
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
	}
	w := *a.way
	w.Path.Poses = slices.Clone(w.Path.Poses) // each may go on from it
	w.Used = slices.Clone(w.Used)
	return w
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
