package main

import (
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/stretchr/testify/require"
)

// TestMain lets the scripts run the program within the test.
func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"bathtender-sim": main})
}

// The scripts are command lines with what they must print and how they must end.
// After a change of the program: go test ./sim -run TestScripts -update, and read
// the difference before you keep it.
func TestScripts(t *testing.T) {
	tree, err := filepath.Abs("../testdata")
	require.NoError(t, err)
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		UpdateScripts:       *update,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(env *testscript.Env) error {
			env.Setenv("TREE", tree)
			env.Setenv("TMPDIR", env.WorkDir)
			return nil
		},
	})
}
