package scenario

import (
	"io/fs"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/interlock"
	"bathtender/sim/drive"
	"bathtender/testdata"
)

// uncaused are the protective functions that no scenario can make act yet, and
// why not.
var uncaused = map[interlock.Function]string{}

// Every protective function has a scenario in which the modelled cabinet makes it
// act, and which expects it by its first-out or its sentence.
func TestEveryProtectiveFunctionHasAScenario(t *testing.T) {
	if testing.Short() {
		t.Skip("plays all scenarios once more")
	}
	names, err := fs.Glob(testdata.FS, "scenarios/*.toml")
	require.NoError(t, err)
	var expected [interlock.FunctionCount]bool
	for _, name := range names {
		sc, err := LoadFrom(testdata.FS.ReadFile, name)
		require.NoError(t, err)
		expects := newExpectations(sc)
		_, err = sc.Run(func(s *drive.Session, _ []Line) error {
			for _, e := range s.Events {
				if k := e.Interlock.Kind; k != interlock.Tripped && k != interlock.Holding {
					continue
				}
				for i := range expects {
					if x := &expects[i]; x.FirstOut == e.Interlock.Name() || x.Says != "" && x.pattern.MatchString(s.Supervisor.Sentence(e)) {
						expected[e.Interlock.Function] = true
					}
				}
			}
			return nil
		})
		require.NoError(t, err)
	}
	for f := range interlock.FunctionCount {
		why, excused := uncaused[f]
		switch {
		case excused:
			assert.NotEmpty(t, why, "%s", f)
			assert.False(t, expected[f], "%s has a scenario: take it from the list", f)
		default:
			assert.True(t, expected[f], "no scenario expects %q", f)
		}
	}
}
