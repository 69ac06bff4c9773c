package scenario_test

import (
	"bytes"
	"fmt"
	"io/fs"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/hal/trace"
	"bathtender/sim/drive"
	"bathtender/sim/scenario"
	"bathtender/testdata"
)

// names returns all scenarios of the repository.
func names(t testing.TB) []string {
	list, err := fs.Glob(testdata.FS, "scenarios/*.toml")
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(list), 40)
	return list
}

func load(t testing.TB, name string) *scenario.Scenario {
	sc, err := scenario.LoadFrom(testdata.FS.ReadFile, name)
	require.NoError(t, err)
	return sc
}

// record plays a scenario and returns its whole trace and its story.
func record(t testing.TB, sc *scenario.Scenario) (scenario.Result, []byte) {
	var out bytes.Buffer
	writer, err := trace.NewWriter(&out, trace.Layout{
		Fans: len(sc.Machine.Fans), Banks: len(sc.Machine.Banks), Ages: true, Outputs: true,
	})
	require.NoError(t, err)
	var story bytes.Buffer
	result, err := sc.Run(func(s *drive.Session, lines []scenario.Line) error {
		for _, l := range lines {
			fmt.Fprintln(&story, l)
		}
		return writer.Write(&trace.Row{Snapshot: s.Snapshot, Request: s.Request, Outputs: s.Outputs, HasOutputs: true})
	})
	require.NoError(t, err)
	require.NoError(t, writer.Flush())
	out.Write(story.Bytes())
	return result, out.Bytes()
}

// Each scenario passes with its own seed and with others, since what it expects
// must not hang on one draw of the noise; and the same seed twice gives the same
// trace, byte by byte.
func TestScenariosPass(t *testing.T) {
	seeds := 5
	if testing.Short() {
		seeds = 0
	}
	for _, name := range names(t) {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			sc := load(t, name)
			require.NotEmpty(t, sc.Expects)
			first, bytesOfFirst := record(t, sc)
			assert.Empty(t, first.Failures)
			second, bytesOfSecond := record(t, load(t, name))
			assert.True(t, bytes.Equal(bytesOfFirst, bytesOfSecond), "the same seed gave two traces")
			assert.Equal(t, first, second)
			for seed := range seeds {
				sc := load(t, name)
				sc.World.Seed = uint64(1001 + seed)
				result, err := sc.Run()
				require.NoError(t, err)
				assert.Empty(t, result.Failures, "with seed %d", sc.World.Seed)
			}
		})
	}
}

// Another seed is another session: were it not, the seeds above would test
// nothing.
func TestAnotherSeedGivesAnotherTrace(t *testing.T) {
	sc := load(t, "scenarios/lid-taken-off.toml")
	_, one := record(t, sc)
	sc.World.Seed++
	_, other := record(t, sc)
	assert.False(t, bytes.Equal(one, other))
}

// A scenario whose bounds and expectations say nothing about danger would pass
// whatever happens.
func TestScenariosSayHowManyTripsOrWhatMustBeOff(t *testing.T) {
	for _, name := range names(t) {
		sc := load(t, name)
		off := false
		for i := range sc.Expects {
			off = off || len(sc.Expects[i].Off) > 0
		}
		assert.True(t, off || sc.Bounds.Trips >= 0, "%s", name)
	}
}
