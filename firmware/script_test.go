package main

import (
	"flag"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

var update = flag.Bool("update", false, "write what the scripts compare with anew")

// TestMain lets the scripts run the program, and a maker of journals, within the
// test.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"bathtender": main, "make-journal": makeJournal})
}

// The scripts are command lines with what they must print and how they must end.
// After a change of the program: go test ./firmware -run TestScripts -update, and
// read the difference before you keep it.
func TestScripts(t *testing.T) {
	tree, err := filepath.Abs("../testdata")
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		UpdateScripts:       *update,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(env *testscript.Env) error {
			env.Setenv("TREE", tree)
			env.Setenv("TZ", "UTC")
			// Else each program waits for a second at its end under the race detector.
			env.Setenv("GORACE", "atexit_sleep_ms=0")
			return nil
		},
	})
}
