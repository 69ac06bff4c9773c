package guest

import (
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// fromTree returns a file of the tree.
func fromTree(t *testing.T, name string) File {
	t.Helper()
	data, err := os.ReadFile(root + "/" + name)
	require.NoError(t, err)
	return File{Data: data, Mode: 0o644}
}

// The cabinet's program, without a supervisor.
func TestInTheGuestTheCabinetAnswers(t *testing.T) {
	needKernel(t)
	t.Parallel()
	const test = "TestTheCabinetAnswers"
	r := boot(t, Guest{
		Files: insideFiles(t, map[string]File{
			"/bin/cabinet":      program(t, "./sim/guest/cabinet"),
			"/etc/machine.toml": fromTree(t, "testdata/machines/slide-tank.toml"),
		}),
		Jobs: []Job{insideJob(test)}, Limit: 3 * time.Minute, Pace: Skipping,
	})
	requirePassed(t, r)
	showMeasured(t, r, test)
}

// A session is short: a recipe of one minute in a bath that is warm already. It has the
// name of the one that the demo tank's START button starts.
const sessionRecipe = `name = "heavy"
set = "40 degC"
limit = "48 degC"
clean = "1 min"
banks = 3
`

// sessionFiles are those of a session, with the meter's port where it is.
func sessionFiles(t *testing.T, port string) map[string]File {
	t.Helper()
	file := string(fromTree(t, "testdata/machines/slide-tank.toml").Data)
	for old, now := range map[string]string{
		`port = "/dev/ttyUSB0"`:  fmt.Sprintf("port = %q", port),
		`run_on_least = "2 min"`: `run_on_least = "30 s"`,
	} {
		require.Contains(t, file, old)
		file = strings.Replace(file, old, now, 1)
	}
	return insideFiles(t, map[string]File{
		"/bin/bathtender":   program(t, "./firmware"),
		"/bin/cabinet":      program(t, "./sim/guest/cabinet"),
		"/etc/machine.toml": {Data: []byte(file), Mode: 0o644},
		"/etc/recipe.toml":  {Data: []byte(sessionRecipe), Mode: 0o644},
	})
}

const sessionTest = "TestASession"

// The real program with the real board underneath, in a session with a fan that fails;
// then it is killed, and then, in another session, stopped. The cabinet says how soon
// everything is off, and the watchdog resets the machine.
func TestInTheGuestASessionThatIsKilled(t *testing.T) {
	needKernel(t)
	t.Parallel()
	for _, row := range []struct{ name, fan, signal string }{
		{"killed", "yes", "SIGKILL"},
		{"stopped", "", "SIGSTOP"},
	} {
		t.Run(row.name, func(t *testing.T) {
			r := boot(t, Guest{
				Files: sessionFiles(t, "/tmp/meter"), Pace: Skipping, Limit: 4 * time.Minute,
				Jobs: []Job{insideJob(sessionTest, "INSIDE_FAN="+row.fan, "INSIDE_SIGNAL="+row.signal)},
			})
			requireReset(t, r, "softdog: Initiating system reboot", "while emitting: nothing")
			logMeasured(t, r, sessionTest)
			last := lastThere(r)
			t.Logf("the machine was reset %.1f s after the signal", last)
			// The machine file's watchdog waits for 2 s from the last feeding.
			require.InDelta(t, 2, last, 0.4)
		})
	}
}
