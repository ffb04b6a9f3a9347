package scene_test

import (
	"errors"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// below names what a package may import of this module; `...` at the end stands
// for the package itself and everything under it. A package that is not listed
// may not exist: where it belongs is to be decided first.
//
// The order is the one way through: plan file, scene, fit, export. Tests may
// import what they like.
var below = map[string][]string{
	"scene/unit":     {},
	"scene/solid":    {"scene/unit"},
	"scene/seawater": {"scene/unit"},
	"assets":         {"scene/unit"},
	"scene":          {"scene/unit", "scene/solid"},
	"scene/plan":     {"assets", "scene/..."},

	"fit/verdict":      {"scene", "scene/unit"},
	"fit/internal/...": {"assets", "scene/...", "fit/verdict", "fit/internal/..."},
	"fit/gap":          family(),
	"fit/passage/...":  family("fit/passage/..."),
	"fit/service":      family("fit/passage", "fit/reach"),
	"fit/reach/...":    family("fit/passage", "fit/reach/..."),
	"fit/water/...":    family("fit/water/..."),
	"fit/glass/...":    family("fit/passage", "fit/water", "fit/glass/..."),
	"fit/weight":       family("fit/water"),
	"fit/stand":        family("fit/weight"),
	"fit/floor":        family("fit/weight", "fit/stand"),
	"fit":              {"scene/...", "fit/..."},
	"fit/choose":       {"assets", "scene/...", "fit/..."},
	"fit/fixes":        {"assets", "scene/...", "fit/..."},
	"fit/place":        {"scene/...", "fit/..."},
	"fit/sensitivity":  {"scene/...", "fit/..."},

	"export/view":  {"assets", "scene", "scene/unit", "scene/solid"},
	"export/model": {"assets", "scene", "scene/unit", "scene/solid"},
	"export/text":  {"scene", "scene/unit", "fit/..."},
	"export/sheet": {"assets", "scene", "scene/unit", "scene/solid", "fit/..."},
	"export/page":  {"assets", "scene/...", "fit/...", "export/..."},

	"cmd/undercroft": {"assets", "scene/...", "fit/...", "export/..."},
}

// family returns what a family of checks may import: everything that describes,
// its own vocabulary, and the other families it builds on.
func family(others ...string) []string {
	return append([]string{
		"assets", "scene", "scene/unit", "scene/solid", "scene/seawater", "fit/verdict", "fit/internal/...",
	}, others...)
}

// matches reports whether pattern stands for the package.
func matches(pattern, pkg string) bool {
	if root, ok := strings.CutSuffix(pattern, "/..."); ok {
		return pkg == root || strings.HasPrefix(pkg, root+"/")
	}
	return pkg == pattern
}

// allowed returns what pkg may import, and whether it is listed at all.
func allowed(pkg string) ([]string, bool) {
	if may, ok := below[pkg]; ok {
		return may, true
	}
	for pattern, may := range below {
		if matches(pattern, pkg) {
			return may, true
		}
	}
	return nil, false
}

// misplaced returns what is wrong with a package that imports others.
func misplaced(pkg string, imports []string) []string {
	may, ok := allowed(pkg)
	if !ok {
		return []string{pkg + " is not listed"}
	}
	var wrong []string
	for _, i := range imports {
		if !slices.ContainsFunc(may, func(pattern string) bool { return matches(pattern, i) }) {
			wrong = append(wrong, pkg+" imports "+i)
		}
	}
	return wrong
}

func TestImportsGoOneWay(t *testing.T) {
	t.Parallel()
	cmd := exec.CommandContext(t.Context(), "go", "list", "-e", "-f", `{{.ImportPath}}{{range .Imports}} {{.}}{{end}}`, "./...")
	cmd.Dir = ".."
	out, err := cmd.Output()
	if failed, ok := errors.AsType[*exec.ExitError](err); ok {
		t.Fatalf("go list: %v\n%s", err, failed.Stderr)
	} else if err != nil {
		t.Fatal(err)
	}
	packages := 0
	for line := range strings.Lines(string(out)) {
		fields := strings.Fields(line)
		var own []string
		for _, f := range fields {
			if pkg, ok := strings.CutPrefix(f, "undercroft/"); ok {
				own = append(own, pkg)
			}
		}
		if len(own) == 0 {
			t.Errorf("%s is not of this module", line)
			continue
		}
		packages++
		for _, wrong := range misplaced(own[0], own[1:]) {
			t.Error(wrong)
		}
	}
	if packages < 10 {
		t.Errorf("go list named %d packages; the module has more", packages)
	}
}

func TestMisplacedImportsAreFound(t *testing.T) {
	t.Parallel()
	for _, tt := range []struct {
		pkg, imports string
		wrong        bool
	}{
		{"scene", "fit", true},
		{"scene/plan", "fit/gap", true},
		{"scene/unit", "assets", true},
		{"fit/gap", "export/view", true},
		{"fit/gap", "fit/passage", true},
		{"fit/water/internal/basin", "fit/weight", true},
		{"fit/weight", "fit/water/internal/basin", true},
		{"export/view", "fit/verdict", true},
		{"export/model", "fit", true},
		{"fit", "cmd/undercroft", true},
		{"util", "scene", true},
		{"fit/common", "scene", true},
		{"scene/plan", "scene/solid", false},
		{"fit/water", "fit/water/internal/basin", false},
		{"export/text", "fit/verdict", false},
		{"cmd/undercroft", "export/view", false},
	} {
		if got := misplaced(tt.pkg, []string{tt.imports}); (len(got) > 0) != tt.wrong {
			t.Errorf("%s imports %s: found %v, want something wrong: %v", tt.pkg, tt.imports, got, tt.wrong)
		}
	}
}
