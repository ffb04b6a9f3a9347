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

// atRest returns the proof that no way keeps more than there is near rest, turned as at
// rest; ok is false where there may be as much as anybody needs to know.
func (p *posed) atRest() (*Most, bool) {
	if p.RestAssumed || p.Opening.PlaceAssumed {
		return nil, false
	}
	free := func(room float64) bool {
		_, ok := cover.Find(p.ends(), p.bars(room))
		return !ok
	}
	lo, hi := 0.0, measured
	if free(hi) {
		return nil, false
	}
	const fine = 0.01 // mm
	for hi-lo > fine {
		if mid := (lo + hi) / 2; free(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	nodes, _ := cover.Find(p.ends(), p.bars(hi))
	m := &Most{job: p.Job, most: hi + contacts.MM(), around: hi, rest: nodes}
	return m, p.barred(&mostFile{Around: hi, Rest: nodes}) == nil
}

// barred returns nil where each place near rest is barred as m claims.
func (p *posed) barred(m *mostFile) error {
	if p.RestAssumed || p.Opening.PlaceAssumed {
		return errors.New("it rests on what nobody measured")
	}
	return cover.Check(p.ends(), p.bars(m.Around), m.Rest)
}

// bars returns boxes of places of the reference point at which the thing, turned as at
// rest, has no more than so much room.
func (p *posed) bars(room float64) []r3.Box {
	ends := p.ends()
	sure, _ := p.sureBoxes(room)
	var out []r3.Box
	for i := range p.Parts {
		s := shape(&p.Parts[i])
		if s == nil {
			continue
		}
		for _, a := range innerBoxes(s.Moved(p.frame)) {
			for _, b := range sure {
				bar := r3.Box{Min: r3.Add(p.ref, r3.Sub(b.Min, a.Max)), Max: r3.Add(p.ref, r3.Sub(b.Max, a.Min))}
				if solid.Lower(solid.Box(bar), solid.Box(ends)) < 0 {
					out = append(out, bar)
				}
			}
		}
	}
	return out
}
