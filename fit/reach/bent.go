package reach

import (
	"cmp"
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/internal/verify"
	"undercroft/scene/solid"
)

// follows proves how much room the upper arm keeps while the elbow is inside the
// cabinet, moved along with the elbow without turning, and that the shoulder
// stays outside meanwhile.
func (k *seeker) follows(a *arm, path solid.Path) room {
	r := allFree
	for leg := range len(path.Poses) - 1 {
		r = r.and(k.followsPart(a, path, leg, 0, 1, 0))
		if r.free < 0 {
			break
		}
	}
	return r
}

// loose is how much the room of an upper arm on its way may be understated, in
// mm; it is halved so often at most.
const (
	loose       = 0.5
	mostHalving = 14
)

var nothingFree = room{beyond: math.Inf(-1), free: math.Inf(-1)}

func (k *seeker) followsPart(a *arm, path solid.Path, leg int, t0, t1 float64, depth int) room {
	elbow := func(t float64) r3.Vec { return path.At(leg, t).Apply(a.elbow) }
	mid := elbow((t0 + t1) / 2)
	// No place of the elbow on this part is farther than this from the middle one.
	span := t1 - t0
	from, to := path.Poses[leg].Apply(path.Ref), path.Poses[leg+1].Apply(path.Ref)
	off := span / 2 * (r3.Norm(r3.Sub(to, from)) + r3.Norm(r3.Sub(a.elbow, path.Ref))*path.Angle(leg))
	if apart(r3.Box{Min: mid, Max: mid}, k.outside) > off {
		return allFree
	}
	shift := r3.Sub(mid, a.elbow)
	pose := solid.Pose{Turn: solid.Rest.Turn, Shift: shift}
	face := r3.Dot(k.target([2]float64{0.5, 0.5}), k.out)
	if r3.Dot(r3.Add(a.shoulder, shift), k.out) < face-1e-9 {
		return nothingFree
	}
	r := allFree
	for _, s := range a.upper {
		r = r.and(k.about(s.Moved(pose), 0, nil))
	}
	if r.free < 0 {
		return nothingFree
	}
	outside := r3.Dot(r3.Add(a.shoulder, shift), k.out)-off >= face
	if outside && (off <= loose || min(r.free, r.beyond)-off >= plenty) && r.free >= off {
		return room{r.beyond - off, r.free - off, r.nearest}
	}
	if depth == mostHalving {
		return nothingFree
	}
	m := (t0 + t1) / 2
	first := k.followsPart(a, path, leg, t0, m, depth+1)
	if first.free < 0 {
		return first
	}
	return first.and(k.followsPart(a, path, leg, m, t1, depth+1))
}

// Of the person only so much is looked at: trunk and head. From memory, in mm.
const (
	trunkRadius   = 140
	trunkLength   = 450 // from between the shoulders to the hips
	halfShoulders = 180
	headRadius    = 106 // half of head length, 95th percentile man, ANSUR II
	neck          = 240 // from between the shoulders to the middle of the head
	highestHips   = 800 // of who stands
	kneelingHips  = 600 // of who kneels or sits on the heels, at most
)

// stands tells whether a person's trunk and head have room outside, with the arm
// where it is, and whether the person kneels for it.
func (k *seeker) stands(a *arm) (kneels, ok bool) {
	z := r3.Vec{Z: 1}
	ways := []r3.Vec{k.out, r3.Unit(r3.Add(k.out, k.right)), r3.Unit(r3.Sub(k.out, k.right))}
	if math.Abs(k.out.Z) > 0.5 {
		ways = []r3.Vec{{Y: -1}, {X: 1}, {X: -1}, {Y: 1}}
	}
	fits := func(s solid.Solid) bool {
		const contact = 1e-3
		return k.about(s, -contact, nil).free >= -contact
	}
	for _, m := range ways {
		// Facing the cabinet, the shoulder before the chest; or side-on, the chest
		// behind the shoulder.
		for _, chest := range []r3.Vec{
			r3.Add(r3.Scale(trunkRadius, m), r3.Scale(halfShoulders, r3.Cross(m, z))),
			r3.Add(r3.Scale(trunkRadius, m), r3.Scale(-halfShoulders, r3.Cross(m, z))),
			r3.Scale(halfShoulders, m),
		} {
			chest = r3.Add(a.shoulder, chest)
			for _, lean := range []float64{0, 40, 75, 90} {
				sin, cos := math.Sincos(lean * math.Pi / 180)
				down := r3.Add(r3.Scale(sin, m), r3.Scale(-cos, z))
				hips := r3.Add(chest, r3.Scale(trunkLength, down))
				if hips.Z > highestHips || !fits(&solid.Capsule{A: chest, B: hips, Radius: trunkRadius}) {
					continue
				}
				for _, head := range []r3.Vec{z, r3.Unit(r3.Add(z, m)), r3.Unit(r3.Sub(z, down))} {
					if fits(&solid.Ball{Centre: r3.Add(chest, r3.Scale(neck, head)), Radius: headRadius}) {
						return hips.Z <= kneelingHips, true
					}
				}
			}
		}
	}
	return false, false
}

// A way in along one line that turns to another: the hand goes past what stands
// before the place, then turns and goes on along the forearm.
var (
	finalRises = []float64{0, 15, 30, 45, 60, 75, 90}
	// With the wrist bent the hand hangs over the place from a forearm that is more level.
	bentRises  = []float64{30, 35, 40, 45, 50, 55, 60, 65, 70, 75, 80, 85, 90}
	finalSides = []float64{0, 35, -35, 70, -70}
	lifts      = []float64{40, 90, 150, 220, 300, 400}
)

const (
	mostFinals = 8
	mostAims   = 3
	mostWalks  = 4
	// From above a place only so many points of the hole are aimed at.
	fewAcross, fewUp = 6, 5
	// enoughAbove is the room in mm with which a straight way above is left as it
	// was found.
	enoughAbove = 6
)

// turned returns a posture into which the arm comes along one line, turns, and
// goes on along another; nil where it finds none.
func (k *seeker) turned(ctx context.Context) *posture {
	var all []final
	rises := finalRises
	if k.grasp.bend != 0 {
		rises = bentRises
	}
	for _, rise := range rises {
		for _, aside := range finalSides {
			if a, r := k.best(k.slant(rise, aside)); r.free >= 0 {
				all = append(all, final{arm: a, room: r, rise: rise, aside: aside})
			}
		}
	}
	slices.SortStableFunc(all, func(a, b final) int {
		return cmp.Compare(min(b.room.beyond, plenty), min(a.room.beyond, plenty))
	})
	var finals []final
	for i := 0; i < len(all) && len(finals) < mostFinals; i++ {
		f := all[i]
		if f.uppers = k.uppers(f.arm, f.room); len(f.uppers) > 0 {
			finals = append(finals, f)
		}
	}
	var best *posture
	done := func(p *posture) bool {
		if p != nil && p.better(best) {
			best = p
		}
		return best != nil && best.room.beyond >= 0 || ctx.Err() != nil
	}
	for i := range finals {
		if k.grasp.bend != 0 {
			break // it comes along no line of its hand
		}
		for _, lift := range lifts {
			if done(k.lowered(&finals[i], lift)) {
				return best
			}
		}
	}
	for i := range min(len(finals), mostWalks) {
		if done(k.walked(ctx, &finals[i])) {
			return best
		}
	}
	return best
}

// A final is where hand and forearm are to end up: their rise from the way out and
// how far they are turned aside, in degrees, and the upper arms that have room there.
type final struct {
	arm
	room        room
	rise, aside float64
	uppers      []posture
}

// slant returns the direction that rises from the way out by an angle, turned
// aside by another, both in degrees.
func (k *seeker) slant(rise, aside float64) r3.Vec {
	z, out := r3.Vec{Z: 1}, k.out
	if math.Abs(out.Z) > 0.5 {
		out = r3.Vec{Y: -1}
	}
	level := solid.Pose{Turn: solid.Turned(z, aside*math.Pi/180)}.Rotate(out)
	sin, cos := math.Sincos(rise * math.Pi / 180)
	return r3.Add(r3.Scale(cos, level), r3.Scale(sin, z))
}

// best returns hand and forearm at the place along axis, in the roll with the
// most room.
func (k *seeker) best(axis r3.Vec) (arm, room) {
	var out arm
	most := nothingFree
	for i := range rolls {
		roll := float64(i) * math.Pi / rolls
		if k.grasp.bend != 0 {
			roll = upward(axis)
		}
		a := k.person.hold(k.grasp, k.point, axis, roll, 1)
		if r := k.still(&a, max(most.beyond, -plenty)); r.beyond > most.beyond {
			out, most = a, r
		}
		if k.grasp.round || k.grasp.bend != 0 {
			break
		}
	}
	return out, most
}

// lowered returns the posture f, into which the arm comes by lowering it from
// lift farther out along its axis, where it came straight and turned.
func (k *seeker) lowered(f *final, lift float64) *posture {
	a := &f.arm
	down := k.person.hold(k.grasp, a.point, a.axis, a.roll, lift)
	r := f.room.and(k.behind(&down, 0))
	if r.free < 0 {
		return nil
	}
	point := a.at(lift)
	from := down
	turn := func(axis r3.Vec, roll float64) quat.Number {
		return quat.Mul(quat.Mul(solid.Turned(axis, roll), upright(axis)), quat.Conj(quat.Mul(solid.Turned(a.axis, a.roll), upright(a.axis))))
	}
	at := func(q quat.Number, p r3.Vec) solid.Pose {
		pose := solid.Pose{Turn: q}
		pose.Shift = r3.Sub(p, pose.Rotate(a.point))
		return pose
	}
	// Above the place nothing may be touched.
	free := *k
	free.place.On = ""
	free.grasp = k.grasp.closed()
	var best *posture
	for _, h := range free.aims(point, fewAcross, fewUp, mostAims) {
		if h.room.beyond < enoughAbove {
			h = free.easeTo(h, enoughAbove)
		}
		if h.room.free < 0 {
			continue
		}
		q := turn(h.axis, h.roll)
		if !k.grasp.round {
			// Either way up a hand is the same; the nearer is turned to.
			if o := turn(h.axis, h.roll+math.Pi); solid.AngleBetween(o, solid.Rest.Turn) < solid.AngleBetween(q, solid.Rest.Turn) {
				q = o
			}
		}
		path := solid.Path{Ref: a.point, Poses: []solid.Pose{
			at(q, r3.Add(point, r3.Scale(k.travel(point, h.axis)+h.lead, h.axis))), at(q, point),
			at(solid.Rest.Turn, point), solid.Rest,
		}}
		above := solid.Path{Ref: path.Ref, Poses: path.Poses[:3]}
		if !k.keeps(append(slices.Clone(from.shut), from.fore...), above) {
			continue
		}
		if p := k.finishWith(f.uppers, &from, path, r); p != nil && p.better(best) {
			p.over, p.bent = true, true
			best = p
		}
	}
	return best
}

// keeps reports whether it is proved that a body touches nothing along path.
func (k *seeker) keeps(body []solid.Solid, path solid.Path) bool {
	all := slices.Clone(k.more)
	for i := range k.obstacles {
		all = append(all, k.obstacles[i].Solid)
	}
	return verify.Keeps(body, path, all, 0) == nil
}
