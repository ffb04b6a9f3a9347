package plan_test

import (
	"strings"
	"testing"

	"undercroft/scene/plan"
)

func TestRewrite(t *testing.T) {
	t.Parallel()
	at := func(key string) plan.Edit { return plan.Edit{Key: key + ".at", Value: "{left: 4 1/16, front: 2}"} }
	const head = "format: 1\ncabinet:\n  size: [30, 18, 30] # outside\n"
	for _, c := range []struct {
		name, file, text string
		edits            []plan.Edit
		want             string // "" where it is written anew
	}{
		{
			"a list of blocks", "p.yaml",
			head + "equipment:\n  # the jug\n  - name: jug\n    # as bought\n    size: [6, 6, 8]\n  - name: box\n    size: [2, 2, 2]\n",
			[]plan.Edit{at("equipment[0]"), at("equipment[1]")},
			head + "equipment:\n  # the jug\n  - name: jug\n    at: {left: 4 1/16, front: 2}\n    # as bought\n    size: [6, 6, 8]\n  - name: box\n    at: {left: 4 1/16, front: 2}\n    size: [2, 2, 2]\n",
		},
		{
			"braces, with a name in another script", "p.yaml",
			head + "equipment:\n  - {name: krüge, size: [6, 6, 8]} # one\n",
			[]plan.Edit{at("equipment[0]"), {Key: "equipment[0].turn", Value: "90"}},
			head + "equipment:\n  - {name: krüge, turn: 90, at: {left: 4 1/16, front: 2}, size: [6, 6, 8]} # one\n",
		},
		{
			"a sump in braces and Windows lines", "p.yaml",
			strings.ReplaceAll(head+"sump: {size: [20, 10, 11], glass: 1/4}\nequipment:\n  - name: jug\n    size: [6, 6, 8]\n", "\n", "\r\n"),
			[]plan.Edit{at("sump"), at("equipment[0]")},
			strings.ReplaceAll(head+"sump: {size: [20, 10, 11], at: {left: 4 1/16, front: 2}, glass: 1/4}\nequipment:\n  - name: jug\n    at: {left: 4 1/16, front: 2}\n    size: [6, 6, 8]\n", "\n", "\r\n"),
		},
		{
			"a single key at the end without a line end", "p.yaml",
			head + "sump:\n  size: [20, 10, 11]",
			[]plan.Edit{at("sump")},
			head + "sump:\n  size: [20, 10, 11]\n  at: {left: 4 1/16, front: 2}\n",
		},
		{
			"a list below the first key", "p.yaml",
			head + "equipment:\n  - parts:\n      - {name: a, size: [1, 1, 1], at: {left: 0, front: 0}}\n    name: jug\n",
			[]plan.Edit{at("equipment[0]")},
			head + "equipment:\n  - parts:\n      - {name: a, size: [1, 1, 1], at: {left: 0, front: 0}}\n    at: {left: 4 1/16, front: 2}\n    name: jug\n",
		},
		{"a key that is there already", "p.yaml", head + "sump: {size: [20, 10, 11], at: {left: 1}}\n", []plan.Edit{at("sump")}, ""},
		{"another format", "p.json", `{"format": 1, "cabinet": {"size": [30, 18, 30]}, "sump": {"size": [20, 10, 11]}}`, []plan.Edit{at("sump")}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			got, kept, err := plan.Rewrite(c.file, []byte(c.text), c.edits...)
			if err != nil {
				t.Fatal(err)
			}
			if kept != (c.want != "") || kept && string(got) != c.want {
				t.Errorf("kept is %v and the plan\n%s\nwant\n%s", kept, got, c.want)
			}
			d, err := plan.NewDraft("p.yaml", got)
			if err != nil {
				t.Fatal(err)
			}
			if v, _ := d.Value(c.edits[0].Key); v != "{left: 4 1/16, front: 2}" {
				t.Errorf("the place is %q", v)
			}
		})
	}
}
