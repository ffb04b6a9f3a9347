package passage

import (
	"strings"

	"undercroft/fit/verdict"
	"undercroft/scene"
	"undercroft/scene/unit"
)

// told is what is known of an opening by which no way in was found, in words round its
// name, so that openings of which the same is known are told of together.
type told struct {
	head, as, tail string
	// its is what the door is for what was shown: "on", or "even off"; "" where it has
	// none, or has no part in it.
	its string
	// rest tells that it is about where the thing stands, whichever opening it comes by.
	rest bool
}

// notIn says of each opening what is known of it, of a thing for which no way in was
// found: what was shown of one is said of that one alone.
func notIn(s *scene.Scene, t scene.Thing, ways []Way) string {
	var all []told
	names := map[told][]string{}
	ofRest := true // all that was looked into is about where the thing stands
	for i := range ways {
		k := ways[i].told(s, t)
		if names[k] == nil {
			all = append(all, k)
		}
		names[k] = append(names[k], ways[i].Opening)
		ofRest = ofRest && (k.rest || ways[i].job == nil)
	}
	clauses := make([]string, len(all))
	atRest := 0
	for _, k := range all {
		if k.rest {
			atRest++
		}
	}
	for i, k := range all {
		if k.rest && ofRest && atRest == 1 {
			clauses[i] = k.head
			continue
		}
		clauses[i] = k.of(names[k])
	}
	return strings.Join(clauses, "; ")
}

// of says it of the openings named.
func (k told) of(names []string) string {
	either := alternatives(names)
	if k.rest {
		return k.head + ", with only " + either + " open"
	}
	door := ""
	switch k.its {
	case "on":
		door = ", with " + numbered(len(names), "its door", "their doors") + " on"
	case "even off":
		door = ", even with " + numbered(len(names), "its door", "their doors") + " off"
	}
	return k.head + either + k.as + door + k.tail
}

// alternatives joins names, as "a, b or c".
func alternatives(names []string) string {
	if n := len(names); n > 1 {
		return strings.Join(names[:n-1], ", ") + " or " + names[n-1]
	}
	return names[0]
}

// told says what is known of the opening, by which no way in was found.
func (w *Way) told(s *scene.Scene, t scene.Thing) told {
	switch {
	case w.job == nil:
		return told{head: "no way through ", tail: " once the display stands"}
	case w.overlaps:
		return told{head: w.Reason, rest: true}
	case w.Verdict == verdict.No:
		k := told{head: "shown impossible through "}
		if t.Name == "sump" {
			k.as = ", as a closed box"
		}
		if w.job.Opening.Door != nil {
			k.its = "on"
			if w.EvenDoorOff {
				k.its = "even off"
			}
		}
		_, k.tail, _ = w.barrier(s, t)
		return k
	}
	first, rest, more := strings.Cut(w.Reason, ", ")
	k := told{head: first + " through "}
	if w.DoorOff {
		k.its = "even off"
	}
	if more {
		k.tail = ", " + rest
	}
	return k
}

// barrier marks what a thing does not get through, of which that was proved, and says
// it in words: how much is free where the thing is thicker than that, or else past what
// it does not get. Past names what of that would have to stand elsewhere.
func (w *Way) barrier(s *scene.Scene, t scene.Thing) (mark scene.Mark, text string, past []string) {
	mark, thicker := narrowPlace(s, t, w)
	if thicker {
		return mark, ": " + mark.Label + " free, and it is " + s.Units.Length(unit.Length(thinnest(w.job))) + " at its thinnest", nil
	}
	if m, of := w.job.past(w.Used); of != nil {
		return m, ", past " + listed(w.Used), of
	}
	return mark, "", nil
}

// settles names what would settle whether a thing goes in for which neither a way was
// found nor shown that there is none.
func settles(ways []Way) string {
	for i := range ways {
		if w := &ways[i]; w.Verdict == verdict.Unsure && !w.stopped {
			return "measure the free width and height of " + w.Opening + " again"
		}
	}
	return moreTime
}
