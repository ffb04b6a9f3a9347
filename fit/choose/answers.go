package choose

import (
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"undercroft/fit/gap"
	"undercroft/fit/passage"
	"undercroft/fit/verdict"
	"undercroft/fit/water"
	"undercroft/scene"
	"undercroft/scene/unit"
)

// tooLarge says why a sump stands nowhere.
func (b *Base) tooLarge(s *scene.Sump) string {
	if by := b.over(s); by != "" {
		return by
	}
	return "what is there leaves no place for it"
}

// tooClose says why it is not known whether a sump stands anywhere.
func (b *Base) tooClose(s *scene.Sump) string {
	if by := b.over(s); by != "" {
		return by + " by the measurements, which may be off by as much: measure there again"
	}
	return "whether it stands anywhere is too close to call"
}

// over says in which directions a sump is larger than the cabinet's inside; "" for none.
func (b *Base) over(s *scene.Sump) string {
	box, in := round(s), b.scene.Cabinet.Inside()
	is, has := r3.Sub(box.Max, box.Min), r3.Sub(in.Max, in.Min)
	has.Z = in.Max.Z - box.Min.Z
	u := b.scene.Units
	var out []string
	for _, x := range []struct {
		is, has float64
		what    string
	}{{is.X, has.X, "wide"}, {is.Y, has.Y, "deep"}, {is.Z, has.Z, "high"}} {
		if x.is > x.has {
			out = append(out, u.Length(unit.Length(x.is-x.has))+" too "+x.what)
		}
	}
	return strings.Join(out, ", ")
}

// standsAnswer judges how a sump stands among what is round it.
func standsAnswer(s *scene.Scene) Answer {
	out := Answer{Verdict: verdict.OK}
	for _, f := range gap.Check(s).Checks {
		if strings.HasPrefix(f.ID, "gap/sump/") && f.Verdict.Rank() > out.Verdict.Rank() {
			out = Answer{f.Verdict, f.Summary}
		}
	}
	return out
}

// read takes the answers of a row from the report of its scene.
func (b *Base) read(r *Row) {
	var goes, holds, things Answer
	goes.Verdict, holds.Verdict, things.Verdict = verdict.OK, verdict.OK, verdict.OK
	worse := func(a *Answer, f *verdict.Finding, text string) {
		if f.Verdict.Rank() > a.Verdict.Rank() {
			*a = Answer{f.Verdict, text}
		}
	}
	inSump := map[string]bool{}
	for i := range r.Scene.Equipment {
		if e := &r.Scene.Equipment[i]; e.Chamber > 0 {
			inSump[e.Name] = true
		}
	}
	found := false
	for i := range r.Report.Checks {
		f := &r.Report.Checks[i]
		family, rest, _ := strings.Cut(f.ID, "/")
		first, second, _ := strings.Cut(rest, "/")
		switch {
		case family == "passage" && first == "sump":
			// What was found here, with another place or a way of a larger one.
			found = true
			goes = Answer{f.Verdict, f.Summary}
			if f.Verdict.Rank() > r.way.Verdict.Rank() {
				goes = Answer{r.way.Verdict, "goes in through " + r.way.Opening + ", " + r.way.Manner() + "; " + r.way.Spare(r.Scene)}
			}
		case family == "gap" && first == "sump" && !inSump[second]:
			// Stands tells of it.
		case family == "service" && (first == "sump" || first == "order") && f.Verdict == verdict.Unsure:
			// Empty, it comes out by the way it goes in; each thing tells of itself.
		case family == "water" && strings.HasPrefix(rest, "depth/"):
			worse(&things, f, strings.TrimPrefix(rest, "depth/")+" in the water: "+f.Summary)
		case family == "water":
			worse(&holds, f, f.Summary)
		case family == "gap" && first == "sump":
			worse(&things, f, second+": "+f.Summary)
		case family == "gap", family == "passage", family == "service", family == "reach":
			worse(&things, f, about(family, rest)+": "+f.Summary)
		}
	}
	if len(b.scene.Cabinet.Openings) > 0 {
		if !found {
			goes = Answer{r.way.Verdict, "goes in through " + r.way.Opening + ", " + r.way.Manner() + "; " + r.way.Spare(r.Scene)}
		}
		r.Goes = &goes
		r.Way, r.Spare = r.way.Opening, r.way.Margin
	}
	r.Water = &holds
	if !r.bad {
		r.Equipment = &things
	}
	w := water.Compute(r.Scene)
	if w.Running != nil {
		r.Running = &w.Running.Total
	}
	if w.PumpOff != nil {
		r.PumpOff = &w.PumpOff.Total
	}
}

// about says in words what a check of equipment is about.
func about(family, what string) string {
	what = strings.ReplaceAll(what, "/", " – ")
	switch family {
	case "passage":
		return what + " on its way in"
	case "service":
		return what + " coming out"
	case "reach":
		return what + " by hand"
	}
	return passage.Readable(what)
}
