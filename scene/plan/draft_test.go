package plan_test

import (
	"errors"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"undercroft/assets"
	"undercroft/scene/plan"
)

func draftOf(t *testing.T, name string) (*plan.Draft, []byte) {
	t.Helper()
	text, ok := assets.Demo(name)
	if !ok {
		t.Fatalf("no demo plan %s", name)
	}
	d, err := plan.NewDraft(name+".yaml", text)
	if err != nil {
		t.Fatal(err)
	}
	return d, text
}

// A draft that is written down is read as the plan it was made from.
func TestDraftRoundTrip(t *testing.T) {
	t.Parallel()
	for _, name := range assets.Demos() {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			d, text := draftOf(t, name)
			want, err := plan.Read(name+".yaml", text)
			if err != nil {
				t.Fatal(err)
			}
			written, err := d.YAML()
			if err != nil {
				t.Fatal(err)
			}
			for how, read := range map[string]func() (any, error){
				"as it is": func() (any, error) { return d.Read() },
				"written":  func() (any, error) { return plan.Read(name+".yaml", written) },
			} {
				got, err := read()
				if err != nil {
					t.Fatalf("%s: %v\n%s", how, err, written)
				}
				if !reflect.DeepEqual(got, any(want)) {
					t.Errorf("%s: the scene differs\n%s", how, written)
				}
			}
		})
	}
}

func TestDraftWith(t *testing.T) {
	t.Parallel()
	d, _ := draftOf(t, "fits")
	before, err := d.Read()
	if err != nil {
		t.Fatal(err)
	}
	moved, err := d.With(plan.Edit{Key: "sump.at.left", Value: "5"}, plan.Edit{Key: "equipment[3]"},
		plan.Edit{Key: "sump.rim.height", Value: "1"}, plan.Edit{Key: "sump.rim.out", Value: "0"}, plan.Edit{Key: "sump.rim.in", Value: "0"})
	if err != nil {
		t.Fatal(err)
	}
	s, err := moved.Read()
	if err != nil {
		t.Fatal(err)
	}
	const inch = 25.4
	if got := s.Sump.Box.Min.X - before.Sump.Box.Min.X; got < inch-1e-9 || got > inch+1e-9 {
		t.Errorf("the sump moved %v mm to the right, want an inch", got)
	}
	// What stands in the sump moves with it.
	if got := s.Equipment[0].Bodies[0].Solid.Bounds().Min.X - before.Equipment[0].Bodies[0].Solid.Bounds().Min.X; got < inch-1e-9 || got > inch+1e-9 {
		t.Errorf("the skimmer moved %v mm to the right, want an inch", got)
	}
	if len(s.Equipment) != len(before.Equipment)-1 {
		t.Errorf("%d things, want one less than %d", len(s.Equipment), len(before.Equipment))
	}
	if s.Sump.Rim == nil {
		t.Error("the rim was not added")
	}
	if again, err := d.Read(); err != nil || !reflect.DeepEqual(again, before) {
		t.Errorf("the draft itself changed: %v", err)
	}
	for key, want := range map[string]string{
		"sump.at": "{left: 5, front: 3}", "sump.inlet": "left", "cabinet.size": "[38, 17, 32]", "equipment[0].name": "skimmer",
	} {
		if got, ok := moved.Value(key); !ok || got != want {
			t.Errorf("Value(%q) = %q, %v, want %q", key, got, ok, want)
		}
	}
	if _, ok := moved.Value("equipment[3]"); ok {
		t.Error("what was taken out is still there")
	}
}

func TestDraftWithWrong(t *testing.T) {
	t.Parallel()
	d, _ := draftOf(t, "fits")
	for name, e := range map[string]plan.Edit{
		"empty path":         {Key: "", Value: "1"},
		"open index":         {Key: "equipment[1", Value: "1"},
		"beyond the list":    {Key: "equipment[9]", Value: "{}"},
		"key in a list":      {Key: "equipment.name", Value: "x"},
		"key in a value":     {Key: "title.more", Value: "x"},
		"value is no YAML":   {Key: "title", Value: "[1, 2"},
		"index after a word": {Key: "equipment[1]x", Value: "1"},
	} {
		if _, err := d.With(e); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	// What a plan may not say is told as in a file, at the place of what was there.
	bad, err := d.With(plan.Edit{Key: "sump.size", Value: "[3 apples, 2, 1]"})
	if err != nil {
		t.Fatal(err)
	}
	_, err = bad.Read()
	var errs plan.Errors
	if !errors.As(err, &errs) || errs[0].Key != "sump.size[0]" || errs[0].Line < 2 {
		t.Errorf("got %v, want an error about sump.size[0] with its line", err)
	}
	if _, err := plan.NewDraft("x.yaml", []byte("a: [1")); err == nil {
		t.Error("no error for what is no YAML")
	}
}

// Any title comes back as it was.
func TestDraftText(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		title := rapid.OneOf(
			rapid.StringMatching(`[ -~äß"']{1,20}`),
			rapid.SampledFrom([]string{"null", "~", "yes", "1e3", "# no", "a: b", "- x", "<<", "!x", "&a", "*a", "=", "0x1F", "'", `"`}),
		).Filter(func(s string) bool { return strings.TrimSpace(s) == s && s != "" }).Draw(t, "title")
		json := `{"format": 1, "cabinet": {"size": [40, 20, 30]}, "sump": {"size": [20, 10, 10]}}`
		d, err := plan.NewDraft("x.json", []byte(json))
		if err != nil {
			t.Fatal(err)
		}
		d, err = d.With(plan.Edit{Key: "title", Value: `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(title) + `"`})
		if err != nil {
			t.Fatal(err)
		}
		text, err := d.YAML()
		if err != nil {
			t.Fatal(err)
		}
		s, err := plan.Read("x.yaml", text)
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		if s.Title != title {
			t.Fatalf("title %q came back as %q\n%s", title, s.Title, text)
		}
	})
}
