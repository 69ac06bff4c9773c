package main

import (
	"flag"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

var update = flag.Bool("update", false, "write what the scripts compare with anew")

// TestMain lets the scripts run the program, a maker of journals and a stand-in for
// the running program, within the test.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"bathtender": main, "make-journal": makeJournal, "show-status": showExample})
}

// The scripts are command lines with what they must print and how they must end.
// After a change of the program: go test ./firmware -run TestScripts -update, and
// read the difference before you keep it.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		UpdateScripts:       *update,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(env *testscript.Env) error {
			env.Setenv("TZ", "UTC")
			// Else each program waits for a second at its end under the race detector.
			env.Setenv("GORACE", "atexit_sleep_ms=0")
			return nil
		},
	})
}
