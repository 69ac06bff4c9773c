package guest

import (
	"fmt"
	"os"
	"strings"
	"testing"

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
		Jobs: []Job{insideJob(test)}, Pace: Skipping,
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

// sessionFiles are those of a session, with the meter where it is there.
func sessionFiles(t *testing.T) map[string]File {
	t.Helper()
	file := string(fromTree(t, "testdata/machines/slide-tank.toml").Data)
	for old, now := range map[string]string{
		`port = "/dev/ttyUSB0"`:  `port = "/tmp/meter"`,
		`run_on_least = "2 min"`: `run_on_least = "30 s"`,
	} {
		require.Contains(t, file, old)
		file = strings.Replace(file, old, now, 1)
	}
	// A simulated line takes the resistor that the chip connects to it for its level: the
	// contacts have their own here.
	for _, input := range []string{"stop loop", "float switch", "lid switch", "leak sensor", "contactor aux",
		"fan 1 tach", "fan 2 tach", "start button", "reset button"} {
		line := fmt.Sprintf("signal = %q\n", input)
		require.Contains(t, file, line)
		file = strings.Replace(file, line, line+"bias = \"off\"\n", 1)
	}
	// The demo tank leaves the board's watchdog to whoever has one.
	file += "\n[board]\nwatchdog = \"/dev/watchdog\"\n"
	return insideFiles(t, map[string]File{
		"/bin/bathtender":   program(t, "./firmware"),
		"/bin/cabinet":      program(t, "./sim/guest/cabinet"),
		"/etc/machine.toml": {Data: []byte(file), Mode: 0o644},
		"/etc/recipe.toml":  {Data: []byte(sessionRecipe), Mode: 0o644},
	})
}

const sessionTest = "TestASession"

// requireReset2s demands that the watchdog has reset the machine as the machine file says:
// 2 s after the last feeding.
func requireReset2s(t *testing.T, r *Result) {
	t.Helper()
	requireReset(t, r, "softdog: Initiating system reboot", "while emitting: nothing")
	logMeasured(t, r, sessionTest)
	last := lastThere(r)
	t.Logf("the machine was reset %.1f s after the signal", last)
	require.InDelta(t, 2, last, 0.4)
}

// The real program with the real board underneath, in a session with a fan that fails;
// in the next it is killed. The cabinet says how soon everything is off, and the watchdog
// resets the machine.
func TestInTheGuestASessionThatIsKilled(t *testing.T) {
	needKernel(t)
	t.Parallel()
	requireReset2s(t, boot(t, Guest{
		Files: sessionFiles(t), Pace: Skipping,
		Jobs: []Job{insideJob(sessionTest, "INSIDE_FAN=yes", "INSIDE_SIGNAL=SIGKILL")},
	}))
}

// A program that is stopped is there, and its outputs stay as they are: the watchdog must
// help.
func TestInTheGuestASessionThatIsStopped(t *testing.T) {
	needKernel(t)
	t.Parallel()
	requireReset2s(t, boot(t, Guest{
		Files: sessionFiles(t), Pace: Skipping,
		Jobs: []Job{insideJob(sessionTest, "INSIDE_FAN=", "INSIDE_SIGNAL=SIGSTOP")},
	}))
}
