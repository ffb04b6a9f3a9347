package passage

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"iter"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/num/quat"
	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/internal/proof"
	"undercroft/fit/internal/verify"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
	"undercroft/scene/unit"
)

// ErrFile tells that a file is no proof, or speaks of what the plan does not have;
// so it neither holds nor does not.
var ErrFile = errors.New("not a proof of this plan")

const (
	// fileFormat is the number of the file form that File writes and Recheck reads.
	fileFormat = 1
	// MostFile bounds what Recheck looks at, in bytes: far above what the budget of
	// a proof leaves room for.
	MostFile = 64 << 20
)

// file is what a way or a proof that there is none is kept in. It says what it is
// about by the plan's names; all solids come from the plan.
type file struct {
	Format  int    `json:"format"`
	Thing   string `json:"thing"`
	Group   string `json:"group"` // what of it travels by itself
	Opening string `json:"opening"`
	DoorOff bool   `json:"door_off"` // else it is open as far as the plan says
	// What stands there meanwhile, besides room, cabinet and stand.
	Display bool     `json:"display"`
	Parts   []string `json:"in_place"`
	Gone    []string `json:"taken_out"` // fixtures
	// One of the four.
	Way     *wayFile        `json:"way,omitempty"`
	Proof   json.RawMessage `json:"proof,omitempty"` // as the package proof writes it
	Overlap *overlapFile    `json:"overlap,omitempty"`
	Most    *mostFile       `json:"room,omitempty"`
}

// wayFile is a way in the scene's frame: each pose as its turn, a quaternion, and
// its shift. On a leg the point About moves straight while the thing turns about it.
type wayFile struct {
	About [3]float64   `json:"about_mm"`
	Poses [][7]float64 `json:"poses"`
	Clear float64      `json:"clear_mm"` // kept on every side, but on the last leg
}

// overlapFile says that the thing overlaps something where it is to stand.
type overlapFile struct {
	Part  string  `json:"part"`
	With  string  `json:"with"`
	Depth float64 `json:"depth_mm"`
}

// Proved tells whether w rests on something that File can keep.
func (w *Way) Proved() bool {
	return w.Going() || w.Verdict == verdict.No && w.job != nil
}

// Title says in a few words what w is about.
func (w *Way) Title() string {
	kind := "no way in"
	if w.Going() {
		kind = "way in"
	}
	return fmt.Sprintf("%s through %s: %s", w.job.group, w.Opening, kind)
}

// File returns what w rests on, its verified way or its proof, in a form that
// Recheck reads: JSON, the same for the same plan.
func (w *Way) File() ([]byte, error) {
	if !w.Proved() {
		return nil, errors.New("nothing was proved of " + w.Opening)
	}
	f := w.job.file(w.DoorOff)
	switch {
	case w.Going():
		f.Way = wayOf(w.Path, w.Clear.Low)
	case w.Proven != nil:
		raw, err := proof.Marshal(w.Proven)
		if err != nil {
			return nil, err
		}
		f.Proof = raw
	default:
		a, b, gap := w.job.deepest()
		f.Overlap = &overlapFile{a.Name, b.Name, down(-gap.High)}
	}
	b, err := json.Marshal(f)
	return append(b, '\n'), err
}

// file returns what a file says that is about j, with the door off if it is.
func (j *Job) file(doorOff bool) file {
	f := file{
		Format: fileFormat, Thing: j.Thing, Group: j.group, Opening: j.Opening.Name, DoorOff: doorOff,
		Display: j.there.Display, Parts: []string{}, Gone: append([]string{}, j.there.Gone...),
	}
	for _, p := range j.there.Parts {
		f.Parts = append(f.Parts, p.Name)
	}
	return f
}

// deepest returns the two solids that overlap most at rest, and their distance, which
// is negative; of nothing that overlaps it is 0.
func (j *Job) deepest() (a, b scene.Part, gap solid.Gap) {
	for p, q := range j.pairs() {
		if g := solid.Distance(p.Solid, q.Sure); g.High < gap.High {
			a, b, gap = p, q, g
		}
	}
	return a, b, gap
}

// pairs yields what may overlap at rest: parts of the thing, and what is sure of
// all that stands about.
func (j *Job) pairs() iter.Seq2[scene.Part, scene.Part] {
	return func(yield func(a, b scene.Part) bool) {
		for _, pair := range [][2][]scene.Part{{j.Parts, j.Others}, {j.Open, j.Reaching}} {
			for _, a := range pair[0] {
				if a.Solid = shape(&a); a.Solid == nil {
					continue
				}
				for _, b := range pair[1] {
					if b.Sure != nil && !yield(a, b) {
						return
					}
				}
			}
		}
	}
}

// down rounds a length that is claimed to a thousandth of a mm.
func down(mm float64) float64 { return math.Floor(mm*1e3) / 1e3 }

// wayOf returns the file form of a way that keeps low. It claims a little less, so
// that whoever checks it needs not cut the way into the same pieces.
func wayOf(path solid.Path, low float64) *wayFile {
	w := &wayFile{
		About: [3]float64{path.Ref.X, path.Ref.Y, path.Ref.Z},
		Clear: max(0, down(min(low, measured)-verdict.Resolution.MM())),
	}
	for _, p := range path.Poses {
		q, s := p.Turn, p.Shift
		w.Poses = append(w.Poses, [7]float64{q.Real, q.Imag, q.Jmag, q.Kmag, s.X, s.Y, s.Z})
	}
	return w
}

func (w *wayFile) path() solid.Path {
	path := solid.Path{Ref: r3.Vec{X: w.About[0], Y: w.About[1], Z: w.About[2]}}
	for _, p := range w.Poses {
		path.Poses = append(path.Poses, solid.Pose{
			Turn:  quat.Number{Real: p[0], Imag: p[1], Jmag: p[2], Kmag: p[3]},
			Shift: r3.Vec{X: p[4], Y: p[5], Z: p[6]},
		})
	}
	return path
}

// Recheck checks a file that File wrote against the plan alone, with nothing of a
// search. It returns nil where what the file claims holds, an error that wraps
// ErrFile where the file is none, or not about this plan, and another where it
// does not hold. The claim is in words for people, "" where the file is none.
func Recheck(s *scene.Scene, data []byte) (claim string, err error) {
	f, err := readFile(data)
	if err != nil {
		return "", fmt.Errorf("%w: %w", ErrFile, err)
	}
	j, err := f.job(s)
	if err != nil {
		return "", fmt.Errorf("%w: %w", ErrFile, err)
	}
	what := f.Group
	if part, ok := strings.CutPrefix(f.Group, f.Thing+"/"); ok {
		what = f.Thing + "'s " + part
	}
	where := "through " + f.Opening
	if f.DoorOff {
		where += " with its door off"
	}
	where += f.meanwhile(j)
	switch {
	case f.Way != nil:
		claim = fmt.Sprintf("%s goes in %s, at least %s to spare", what, where, s.Units.AtLeast(unit.Length(f.Way.Clear)))
		return claim, j.goes(f.Way)
	case f.Overlap != nil:
		o := f.Overlap
		claim = fmt.Sprintf("%s does not stand in its place: it overlaps %s by %s", what, readable(o.With), s.Units.AtLeast(unit.Length(o.Depth)))
		return claim, j.overlaps(o)
	case f.Most != nil:
		claim = fmt.Sprintf("%s has not more than %s to spare %s", what, s.Units.AtMost(unit.Length(f.Most.Most)), where)
		return claim, j.atMost(f.Most)
	}
	pr, err := proof.Read(f.Proof)
	if err != nil {
		return "", fmt.Errorf("%w: %w", ErrFile, err)
	}
	claim = fmt.Sprintf("%s does not go in %s", what, where)
	if j.Tape > 0 {
		claim += fmt.Sprintf(", nor would it if it were smaller by %s on every side", s.Units.Fine(j.Tape))
	}
	return claim, j.pose().refutedBy(pr)
}

func readFile(data []byte) (*file, error) {
	if len(data) > MostFile {
		return nil, fmt.Errorf("it is larger than %d MB", MostFile>>20)
	}
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	var f file
	if err := d.Decode(&f); err != nil {
		return nil, err
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return nil, errors.New("something follows after its end")
	}
	if f.Format != fileFormat {
		return nil, fmt.Errorf("its format is %d, this program reads %d", f.Format, fileFormat)
	}
	kinds := 0
	for _, there := range []bool{f.Way != nil, f.Proof != nil, f.Overlap != nil, f.Most != nil} {
		if there {
			kinds++
		}
	}
	if kinds != 1 {
		return nil, errors.New("it is to have one of way, proof, overlap and room")
	}
	return &f, nil
}

// job returns the question that f answers.
func (f *file) job(s *scene.Scene) (*Job, error) {
	t, ok := s.Thing(f.Thing)
	if !ok {
		return nil, fmt.Errorf("the plan has no thing %q", f.Thing)
	}
	g := slices.IndexFunc(t.Groups, func(g scene.Group) bool { return g.Name == f.Group })
	if g < 0 {
		return nil, fmt.Errorf("nothing of %s travels as %q", f.Thing, f.Group)
	}
	o := slices.IndexFunc(s.Cabinet.Openings, func(o scene.Opening) bool { return o.Name == f.Opening })
	if o < 0 {
		return nil, fmt.Errorf("the plan has no opening %q", f.Opening)
	}
	there := Present{Display: f.Display, Gone: f.Gone}
	for _, name := range f.Parts {
		p, ok := partOf(s, name)
		if !ok {
			return nil, fmt.Errorf("the plan has no part %q", name)
		}
		if p.Of == f.Thing && !slices.ContainsFunc(t.Groups, func(other scene.Group) bool {
			return other.Name != f.Group && slices.ContainsFunc(other.Parts, func(q scene.Part) bool { return q.Name == name })
		}) {
			return nil, fmt.Errorf("%q moves and is in place at once", name)
		}
		there.Parts = append(there.Parts, p)
	}
	for _, name := range f.Gone {
		if !slices.ContainsFunc(s.Cabinet.Fixtures, func(x scene.Fixture) bool { return x.Name == name }) {
			return nil, fmt.Errorf("the plan has no fixture %q", name)
		}
	}
	if f.Display && s.Display == nil {
		return nil, errors.New("the plan has no display")
	}
	j := JobAmong(s, t, t.Groups[g], &s.Cabinet.Openings[o], there)
	if f.DoorOff {
		if j.Opening.Door == nil || !j.Opening.Door.LiftsOff {
			return nil, fmt.Errorf("the door of %s does not come off", f.Opening)
		}
		j = j.leafless()
	}
	return j, nil
}

// partOf returns the part of a thing by its name.
func partOf(s *scene.Scene, name string) (scene.Part, bool) {
	for _, t := range s.Things() {
		for _, p := range t.Parts {
			if p.Name == name {
				return p, true
			}
		}
	}
	return scene.Part{}, false
}

// meanwhile says what is in place while the thing moves.
func (f *file) meanwhile(j *Job) string {
	var names []string
	if f.Display {
		names = append(names, "the display")
	}
	for _, p := range j.there.Parts {
		if !slices.Contains(names, p.Of) {
			names = append(names, p.Of)
		}
	}
	text := ", with nothing else in place"
	if n := len(names); n > 1 {
		names = []string{strings.Join(names[:n-1], ", ") + " and " + names[n-1]}
	}
	if len(names) > 0 {
		text = ", with " + names[0] + " in place"
	}
	if len(f.Gone) > 0 {
		text += " and " + strings.Join(f.Gone, ", ") + " taken out"
	}
	return text
}

// goes returns nil where a way leads from outside to rest and keeps what it
// claims: the thing ends its way turned as at rest and near to it, and from there
// moves straight into place without overlapping anything.
func (j *Job) goes(w *wayFile) error {
	path := w.path()
	n := len(path.Poses)
	if n < 3 || path.Poses[n-1] != solid.Rest {
		return errors.New("the way does not end at rest")
	}
	if !(w.Clear >= 0) {
		return errors.New("the way does not claim to be clear")
	}
	if err := j.enters(path); err != nil {
		return err
	}
	const still = 1e-9 // radians, far above rounding
	end := path.Poses[n-2]
	from := r3.Sub(end.Apply(j.reference()), j.reference())
	if !(solid.AngleBetween(end.Turn, solid.Rest.Turn) <= still && r3.Norm(from) <= near+verdict.Contact.MM()) {
		return errors.New("the last move is no straight and short one")
	}
	way := solid.Path{Ref: path.Ref, Poses: path.Poses[:n-1]}
	last := solid.Path{Ref: path.Ref, Poses: path.Poses[n-2:]}
	need := w.Clear
	if need == 0 {
		need = -verdict.Contact.MM() // it may touch
	}
	for _, leg := range []struct {
		path solid.Path
		need float64
	}{{way, need}, {last, -verdict.Contact.MM()}} {
		if err := keeps(j.Parts, leg.path, j.Others, leg.need); err != nil {
			return err
		}
		if err := keeps(j.Open, leg.path, j.Reaching, leg.need); err != nil {
			return err
		}
	}
	return nil
}

// enters returns nil where a way begins outside, with all of the thing, and leads in
// through the job's own opening: where the point that the thing turns about, the middle of
// its main part, comes into the cabinet for the last time, it comes through the hole.
func (j *Job) enters(path solid.Path) error {
	if r3.Norm(r3.Sub(path.Ref, j.reference())) > verdict.Contact.MM() {
		return errors.New("the thing does not turn about its middle")
	}
	frame := frameOf(j.Cabinet, j.Opening.Side)
	outer := solid.Box(outerBox(j.Cabinet)).Moved(frame).Bounds()
	if c := frame.Apply(path.Ref); !inside(outer, c) {
		return errors.New("the thing does not stand in the cabinet")
	}
	for _, s := range solidsOf(j.Parts) {
		if b := s.Moved(path.Poses[0]).Moved(frame).Bounds(); !(b.Max.Y <= verdict.Contact.MM()) {
			return errors.New("the way does not begin outside")
		}
	}
	hole := grown(solid.Box(j.Opening.Hole).Moved(frame).Bounds(), verdict.Contact.MM())
	for i := len(path.Poses) - 1; i > 0; i-- {
		a := frame.Apply(path.Poses[i-1].Apply(path.Ref))
		b := frame.Apply(path.Poses[i].Apply(path.Ref))
		t, front := entry(outer, a, b)
		if t <= 0 {
			continue // it was inside before
		}
		at := r3.Add(r3.Scale(1-t, a), r3.Scale(t, b))
		if front && at.X >= hole.Min.X && at.X <= hole.Max.X && at.Z >= hole.Min.Z && at.Z <= hole.Max.Z {
			return nil
		}
		break
	}
	return fmt.Errorf("the way does not lead through %s", j.Opening.Name)
}

// entry returns where on the way from a to b, which is in the box, it enters the
// box, as a fraction of the way, at most 0 where a is in it; and whether that is
// through its front.
func entry(box r3.Box, a, b r3.Vec) (t float64, front bool) {
	t = math.Inf(-1)
	for k, e := range [3][4]float64{
		{a.X, b.X, box.Min.X, box.Max.X}, {a.Y, b.Y, box.Min.Y, box.Max.Y}, {a.Z, b.Z, box.Min.Z, box.Max.Z},
	} {
		from, to, lo, hi := e[0], e[1], e[2], e[3]
		switch {
		case from < lo && (lo-from)/(to-from) > t:
			t, front = (lo-from)/(to-from), k == 1
		case from > hi && (from-hi)/(from-to) > t:
			t, front = (from-hi)/(from-to), false
		}
	}
	return t, front
}

func inside(b r3.Box, v r3.Vec) bool {
	return b.Min.X <= v.X && v.X <= b.Max.X && b.Min.Y <= v.Y && v.Y <= b.Max.Y && b.Min.Z <= v.Z && v.Z <= b.Max.Z
}

// outerBox returns the box round the cabinet.
func outerBox(c *scene.Cabinet) r3.Box {
	return r3.Box{Max: r3.Vec{X: c.Width.MM(), Y: c.Depth.MM(), Z: c.Height.MM()}}
}

// keeps is verify.Keeps with the names of what comes too near.
func keeps(parts []scene.Part, path solid.Path, others []scene.Part, need float64) error {
	err := verify.Keeps(solidsOf(parts), path, solidsOf(others), need)
	if err == nil {
		return nil
	}
	for i := range parts {
		for k := range others {
			if verify.Keeps(solidsOf(parts[i:i+1]), path, solidsOf(others[k:k+1]), need) != nil {
				return fmt.Errorf("%s comes too near to %s on the way", readable(parts[i].Name), readable(others[k].Name))
			}
		}
	}
	return err
}

// overlaps returns nil where the two solids overlap where they stand by more
// than the tape can be off.
func (j *Job) overlaps(o *overlapFile) error {
	if j.RestAssumed {
		return errors.New("nobody measured where it is to stand")
	}
	if !(o.Depth > (j.Tape + verdict.Contact).MM()) {
		return errors.New("it overlaps by no more than the tape can be off")
	}
	for a, b := range j.pairs() {
		if a.Name == o.Part && b.Name == o.With && -solid.Distance(a.Solid, b.Sure).High >= o.Depth {
			return nil
		}
	}
	return fmt.Errorf("%s does not overlap %s by as much", readable(o.Part), readable(o.With))
}

// refutedBy returns nil where the checker accepts a proof that the thing does not
// go in, with the room made anew from the plan.
func (p *posed) refutedBy(pr *proof.Proof) error {
	if !(pr.Erosion >= (p.Tape+contacts).MM()-rounding) {
		return errors.New("it allows for less than the tape can be off")
	}
	return p.shown(pr, 0)
}

// shown returns nil where the checker accepts a proof that the thing does not go in past
// all that is there, thicker by around, with the room made anew from the plan.
func (p *posed) shown(pr *proof.Proof, around float64) error {
	if pr.Thing != p.Thing || pr.Opening != p.Opening.Name {
		return fmt.Errorf("%w: it is about %q and %q", ErrFile, pr.Thing, pr.Opening)
	}
	solids := p.eroded(pr.Erosion)
	if solids == nil {
		return errors.New("nothing is left of a thing so much smaller")
	}
	b := p.bounds(around)
	var q question
	var ok bool
	switch pr.Kind {
	case proof.Slice:
		q, ok = p.across(&b, solids, pr.Erosion, pr.Y)
	case proof.Cells, proof.Bands:
		q, ok = p.throughout(&b, solids, pr.Erosion)
	case proof.Ball:
		if p.Opening.PlaceAssumed {
			return errors.New("it rests on what nobody measured")
		}
		boxes, _ := p.sureBoxes(around)
		return proof.Check(p.open(boxes), &proof.Body{Ref: p.ref, Parts: solids}, pr)
	}
	if !ok {
		return fmt.Errorf("the plan does not bear out a proof by %q", pr.Kind)
	}
	if q.proof = pr; pr.Kind == proof.Bands {
		if q.boxes = asLayers; q.holds(q.hull.Boxes) {
			return nil
		}
		q.boxes = asBoxes
	}
	return proof.Check(q.room(q.hull.Boxes), &proof.Body{Ref: p.ref, Parts: q.solids}, pr)
}
