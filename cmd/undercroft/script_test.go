package main_test

import (
	_ "embed"
	"errors"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	main "undercroft/cmd/undercroft"
)

var update = flag.Bool("update", false, "write what scripts compare with anew")

func TestMain(m *testing.M) {
	// No check of a test is to end because the race detector makes it slow.
	if err := os.Setenv("UNDERCROFT_TOTAL", "0s"); err != nil {
		panic(err)
	}
	testscript.Main(m, map[string]func(){"undercroft": main.MainForTest})
}

// TestScripts runs testdata/script: how the program behaves on a command line.
func TestScripts(t *testing.T) {
	t.Parallel()
	testscript.Run(t, scripts("testdata/script"))
}

// quick is a plan that is soon checked; scripts find it as quick.yaml.
//
//go:embed testdata/quick.yaml
var quick []byte

// scripts are the parameters of a run over the scripts in a folder.
func scripts(dir string) testscript.Params {
	return testscript.Params{
		Dir:                 dir,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		UpdateScripts:       *update,
		Setup: func(e *testscript.Env) error {
			e.Setenv("HOME", e.WorkDir)
			e.Setenv("XDG_CONFIG_HOME", e.WorkDir+"/config")
			return os.WriteFile(filepath.Join(e.WorkDir, "quick.yaml"), quick, 0o666)
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"exits": exits},
	}
}

// exits runs a command that must end with one of some codes, as in
// exits 0,3 COMMAND ARGS...
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits CODES COMMAND ARGS...")
	}
	got := 0
	var exit *exec.ExitError
	switch err := ts.Exec(args[1], args[2:]...); {
	case errors.As(err, &exit):
		got = exit.ExitCode()
	default:
		ts.Check(err)
	}
	if !slices.Contains(strings.Split(args[0], ","), strconv.Itoa(got)) {
		ts.Fatalf("%v exits %d, want %s", args[1:], got, args[0])
	}
}
