package passage

import (
	"context"
	"slices"
	"strings"

	"undercroft/fit/verdict"
	"undercroft/scene"
)

// A thing is what was found about one that is carried in.
type thing struct {
	scene.Thing
	pieces []piece // what travels by itself, in the order in which it goes in
}

// decided decides every opening for all that travels by itself of a thing.
func decided(ctx context.Context, s *scene.Scene, t scene.Thing) thing {
	ctx, done := verdict.Limited(ctx)
	defer done()
	out := thing{Thing: t}
	for _, g := range t.Groups {
		out.pieces = append(out.pieces, piece{g, waysOf(ctx, s, t, g)})
	}
	return out
}

// narrow looks into how much room the ways keep that were found, and takes its steps
// out of the purse.
func (t *thing) narrow(ctx context.Context, purse *int) {
	ctx, done := verdict.Limited(ctx)
	defer done()
	for _, p := range t.pieces {
		*purse -= p.ways[0].Narrow(ctx, min(*purse, narrowSteps))
	}
}

// finding gathers what is known about a thing: for each group that travels by itself
// the best opening, and of the groups the worst.
func (t *thing) finding(s *scene.Scene) verdict.Finding {
	worst := 0
	motions := []scene.Motion{}
	var evidence []verdict.Evidence
	for k, p := range t.pieces {
		for i := range p.ways {
			if p.ways[i].Proved() {
				evidence = append(evidence, &p.ways[i])
			}
			if p.ways[i].Wider != nil {
				evidence = append(evidence, p.ways[i].Wider)
			}
			if p.ways[i].Most != nil && p.ways[i].Room().Lo.MM() < measured {
				evidence = append(evidence, p.ways[i].Most)
			}
		}
		if p.ways[0].Going() {
			motions = append(motions, motionOf(s, t.Thing, p.group, &p.ways[0]))
		}
		if order(&p.ways[0], &t.pieces[worst].ways[0]) > 0 {
			worst = k
		}
	}
	what := ""
	if len(t.pieces) > 1 {
		what = "its " + t.pieces[worst].called(t.Thing) + " "
	}
	f := describe(s, t.Thing, what, t.pieces[worst].ways)
	together(s, t.Thing, t.pieces, worst, &f)
	f.ID, f.Motions, f.Evidence = "passage/"+t.Name, motions, evidence
	return f
}

// A piece is a group of a thing's parts that travels by itself, with what was
// found about each opening, the best first.
type piece struct {
	group scene.Group
	ways  []Way
}

// called names a piece by its parts, as "base and body".
func (p *piece) called(t scene.Thing) string {
	names := make([]string, len(p.group.Parts))
	for i, part := range p.group.Parts {
		names[i] = strings.TrimPrefix(part.Name, t.Name+"/")
	}
	return listed(names)
}

// verb returns the form of a verb for what a piece is called.
func (p *piece) verb(one, many string) string { return numbered(len(p.group.Parts), one, many) }

// goes says how a piece goes in that does.
func (p *piece) goes() string {
	w := &p.ways[0]
	text := " through " + w.Opening
	if w.DoorOff {
		text += " with its door off"
	}
	return text + ", " + manner(w)
}

// together adds the other pieces of a thing to a finding about its worst one.
func together(s *scene.Scene, t scene.Thing, pieces []piece, worst int, f *verdict.Finding) {
	if len(pieces) < 2 {
		return
	}
	all := !slices.ContainsFunc(pieces, func(p piece) bool { return !p.ways[0].Going() })
	alike := all && !slices.ContainsFunc(pieces, func(p piece) bool { return p.goes() != pieces[0].goes() })
	if alike {
		names := make([]string, len(pieces))
		for i := range pieces {
			names[i] = "its " + pieces[i].called(t)
		}
		one := names[worst] + " " + pieces[worst].verb("goes", "go") + " in"
		f.Summary = strings.Join(names, " and ") + " go in one by one" + strings.TrimPrefix(f.Summary, one)
		if pieces[worst].ways[0].Margin.Lo.MM() < measured {
			f.Summary += ", for " + names[worst]
		}
	} else {
		for i := range pieces {
			if p := &pieces[i]; i != worst {
				f.Summary += "; its " + p.called(t) + p.brief(s)
			}
		}
	}
	if all {
		f.Measures = withMoves(s, t, pieces, f.Measures)
	}
}

// brief says in few words what was found about a piece.
func (p *piece) brief(s *scene.Scene) string {
	switch w := &p.ways[0]; {
	case w.Going():
		return " " + p.verb("goes", "go") + " in" + p.goes() + ", with " + spareText(s, w)
	case w.Verdict == verdict.No:
		return " " + p.verb("does", "do") + " not go in either"
	}
	return " " + p.verb("is", "are") + " not decided"
}

// withMoves returns the measures with the moves of all pieces, one after the
// other, each with the name of what is moved.
func withMoves(s *scene.Scene, t scene.Thing, pieces []piece, ms verdict.Measures) verdict.Measures {
	var moves, hands []string
	for i := range pieces {
		p := &pieces[i]
		own, of := p.ways[0].moves(s.Units)
		for _, m := range own {
			moves = append(moves, p.called(t)+": "+m)
		}
		hands = append(hands, sentences(handsOf(s, &p.ways[0], len(own), of))...)
	}
	ms = slices.Clone(ms)
	for i := range ms {
		switch ms[i].Key {
		case "moves":
			ms[i].Value = moves
		case "hands":
			ms[i].Value = hands
		}
	}
	return ms
}
