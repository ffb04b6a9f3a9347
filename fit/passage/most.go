package passage

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/internal/cover"
	"undercroft/fit/internal/proof"
	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/solid"
)

// Most is the proof that no way through an opening keeps more than so much room.
type Most struct {
	job     *Job
	doorOff bool
	most    float64 // mm
	// The thing, or a part of it alone, does not go in where all that is in the way is
	// thicker by around;
	part   string
	around float64
	proof  *proof.Proof
	// or there is no place near rest, turned as at rest, at which it keeps as much.
	rest []cover.Node
}

// contacts pay in a proof for what only touches, and for boxes that are grown, corners
// and all.
const contacts = 3 * verdict.Contact

// mostFile says that no way keeps more.
type mostFile struct {
	Most   float64 `json:"most_mm"`
	Around float64 `json:"around_mm"`      // by how much what is in the way is thicker
	Part   string  `json:"part,omitempty"` // the proof is about it alone
	// One of the two: as the package proof writes it, or what bars each place near rest.
	Proof json.RawMessage `json:"proof,omitempty"`
	Rest  []cover.Node    `json:"rest,omitempty"`
}

// Title says in a few words what m is about.
func (m *Most) Title() string {
	return m.job.group + " through " + m.job.Opening.Name + ": no more room"
}

// File returns the proof in a form that Recheck reads.
func (m *Most) File() ([]byte, error) {
	f := m.job.file(m.doorOff)
	f.Most = &mostFile{Most: m.most, Around: m.around, Part: m.part, Rest: m.rest}
	if m.proof != nil {
		raw, err := proof.Marshal(m.proof)
		if err != nil {
			return nil, err
		}
		f.Most.Proof = raw
	}
	b, err := json.Marshal(f)
	return append(b, '\n'), err
}

// atMost returns nil where no way keeps more than m claims.
func (j *Job) atMost(m *mostFile) error {
	if !(m.Around >= 0 && m.Most >= m.Around+contacts.MM()-rounding) {
		return errors.New("it claims more than it shows")
	}
	if m.Rest != nil {
		return j.pose().barred(m)
	}
	p := j.pose()
	if m.Part != "" {
		i := slices.IndexFunc(p.Parts, func(q scene.Part) bool { return q.Name == m.Part })
		if i < 0 {
			return fmt.Errorf("%w: %q is not brought in", ErrFile, m.Part)
		}
		alone, ok := p.part(i)
		if !ok {
			return fmt.Errorf("%s may go another way", readable(m.Part))
		}
		p = alone.pose()
	}
	pr, err := proof.Read(m.Proof)
	if err != nil {
		return fmt.Errorf("%w: %w", ErrFile, err)
	}
	return p.shown(pr, m.Around)
}

// touched is by how much more than they are boxes are larger, in mm, that may touch.
const touched = -2 * float64(verdict.Contact)

// atRest returns the proof that no way keeps more than there is near rest, turned as at
// rest, at a place from which a straight move leads there; ok is false where there may be
// as much as anybody needs to know.
func (p *posed) atRest() (*Most, bool) {
	if p.RestAssumed || p.Opening.PlaceAssumed {
		return nil, false
	}
	const fine = 0.01 // mm
	s := p.nearRest(touched)
	lo, hi := 0.0, measured
	nodes, _, ok := s.thicker(hi).Find()
	if !ok {
		return nil, false
	}
	for hi-lo > fine {
		mid := (lo + hi) / 2
		if less, _, ok := s.thicker(mid).Find(); ok {
			hi, nodes = mid, less
		} else {
			lo = mid
		}
	}
	m := &Most{job: p.Job, most: hi + contacts.MM(), around: hi, rest: nodes}
	return m, p.barred(&mostFile{Around: hi, Rest: nodes}) == nil
}

// roomiest returns places near rest that are to have ever more room, up to most, with some
// left to what they would be barred by.
func (p *posed) roomiest(most float64) []r3.Vec {
	const fine, apart = 0.1, 0.01 // mm
	s := p.nearRest(apart)
	s.Within -= 2 * apart
	var out []r3.Vec
	for lo, hi := 0.0, most+fine; hi-lo > fine; {
		mid := (lo + hi) / 2
		if _, open, ok := s.thicker(mid).Find(); ok {
			hi = mid
		} else {
			lo, out = mid, append(out, open)
		}
	}
	return out
}

// barred returns nil where each place near rest is barred as m claims.
func (p *posed) barred(m *mostFile) error {
	if p.RestAssumed || p.Opening.PlaceAssumed {
		return errors.New("it rests on what nobody measured")
	}
	return p.nearRest(touched).thicker(m.Around).Check(m.Rest)
}

// places are those of the reference point near rest, with what bars them where the thing,
// turned as at rest, overlaps something there or on the straight move to rest.
type places cover.Space

// thicker returns the space in which places are barred where the thing has no more than
// so much room.
func (s *places) thicker(room float64) *cover.Space {
	out := cover.Space(*s)
	out.Bars = slices.Clone(s.Bars)
	for i := range out.Bars {
		if b := &out.Bars[i]; !b.Hiding {
			b.By = room
		}
	}
	return &out
}

// nearRest returns the places near rest. What would overlap on a straight move from there is
// larger by more on every side, but for what the thing touches at rest, which it may on the
// move as well.
func (p *posed) nearRest(more float64) *places {
	out := places{Box: p.ends(), From: p.ref, Within: near + verdict.Contact.MM()}
	sure, _ := p.sureBoxes(0)
	for i := range p.Parts {
		s := shape(&p.Parts[i])
		if s == nil {
			continue
		}
		for _, a := range innerBoxes(s.Moved(p.frame)) {
			for _, b := range sure {
				bar := r3.Box{Min: r3.Add(p.ref, r3.Sub(b.Min, a.Max)), Max: r3.Add(p.ref, r3.Sub(b.Max, a.Min))}
				if solid.Lower(solid.Box(bar), solid.Box(out.Box)) > measured {
					continue
				}
				out.Bars = append(out.Bars, cover.Bar{Box: bar})
				hiding := grown(bar, more)
				if solid.Lower(solid.Box(hiding), solid.Box(r3.Box{Min: p.ref, Max: p.ref})) <= 0 {
					hiding = grown(bar, touched)
				}
				if boxVolume(hiding) > 0 {
					out.Bars = append(out.Bars, cover.Bar{Box: hiding, Hiding: true})
				}
			}
		}
	}
	return &out
}
