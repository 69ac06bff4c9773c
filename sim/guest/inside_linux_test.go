package guest

import (
	"fmt"
	"maps"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

const insideTests = "/tests/inside"

// insideJob runs one test of sim/guest/inside.
func insideJob(test string, env ...string) Job {
	return Job{
		Name: test, Args: []string{insideTests, "-test.v", "-test.timeout=300s", "-test.run", "^" + test + "$"},
		Env: append(env, "BATHTENDER_GUEST=1"),
	}
}

func insideFiles(t *testing.T, more ...map[string]File) map[string]File {
	t.Helper()
	files := map[string]File{insideTests: testProgram(t, "./sim/guest/inside")}
	for _, m := range more {
		maps.Copy(files, m)
	}
	return files
}

// showMeasured demands that a test in the guest has passed, and logs what it measured.
func showMeasured(t *testing.T, r *Result, test string) {
	t.Helper()
	require.Contains(t, r.Output(test), "--- PASS: "+test)
	logMeasured(t, r, test)
}

// logMeasured logs what a test in the guest has logged.
func logMeasured(t *testing.T, r *Result, test string) {
	t.Helper()
	for line := range strings.Lines(r.Output(test)) {
		if _, said, found := strings.Cut(line, "_test.go:"); found {
			t.Log(strings.TrimSpace(said[strings.Index(said, ":")+1:]))
		}
	}
}

// lastThere returns how many seconds after its signal a guest has last told that it is
// still there; less than 0 where it never has.
func lastThere(r *Result) float64 {
	last := -1.0
	for line := range strings.Lines(r.Console) {
		_, _ = fmt.Sscanf(line, "still there %f s later", &last)
	}
	return last
}

// Edges and wake-ups against independent programs in the same machine.
func TestInTheGuestAsOtherPrograms(t *testing.T) {
	needKernel(t)
	t.Parallel()
	const edges, waking = "TestEdgesAreCountedAsByAnotherProgram", "TestWakingAsAnotherProgram"
	r := boot(t, Guest{
		Files: insideFiles(t,
			withLibraries(t, needProgram(t, "gpiomon", "gpiod")),
			withLibraries(t, needProgram(t, "gpioinfo", "gpiod")),
			withLibraries(t, needProgram(t, "cyclictest", "rt-tests"))),
		Jobs: []Job{insideJob(edges), insideJob(waking)},
		Pace: Skipping,
	})
	requirePassed(t, r)
	showMeasured(t, r, edges)
	showMeasured(t, r, waking)
}
