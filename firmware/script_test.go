package main

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"bathtender/testdata"
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
			return machineFiles(env.WorkDir)
		},
	})
}

// machineFiles puts the demo's machine file where a script runs, as tank.toml, and as
// plain.toml without detergent.
func machineFiles(folder string) error {
	data, err := testdata.FS.ReadFile("machines/slide-tank.toml")
	if err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(folder, "tank.toml"), data, 0o644); err != nil {
		return err
	}
	plain := strings.Replace(string(data), `dilution = "1:50"`, "", 1)
	return os.WriteFile(filepath.Join(folder, "plain.toml"), []byte(plain), 0o644)
}
