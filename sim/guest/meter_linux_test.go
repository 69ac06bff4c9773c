package guest

import (
	"maps"
	"os"
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// anotherMeter returns the files of the mains meter of testdata/meter.py, which answers by
// another project's implementation of Modbus: with them the guest has Debian's Python and
// the modules that it needs.
func anotherMeter(t *testing.T) map[string]File {
	t.Helper()
	// Debian's own Python, which has Debian's modules.
	const python = "/usr/bin/python3"
	if exec.Command(python, "-c", "import pymodbus").Run() != nil {
		missing(t, "there is no pymodbus (Debian: python3-pymodbus)")
	}
	files := withLibraries(t, python)
	const script = "testdata/meter.py"
	needed, err := exec.Command(python, script).Output()
	require.NoError(t, err)
	for line := range strings.Lines(string(needed)) {
		source, compiled, _ := strings.Cut(strings.TrimSuffix(line, "\n"), " ")
		switch {
		case !strings.HasSuffix(source, ".py"):
			maps.Copy(files, withLibraries(t, source))
		case compiled != "" && exists(compiled):
			// The compiled one in the place of the source is taken as it is; beside the
			// source it would have to be of its time, and be compiled anew.
			files[source+"c"] = fromMachine(t, compiled)
		default:
			files[source] = fromMachine(t, source)
		}
	}
	files["/etc/meter.py"] = fromMachine(t, script)
	return files
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

func fromMachine(t *testing.T, path string) File {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	return File{Data: data, Mode: 0o755}
}

// A session with a meter that is not ours: Modbus RTU by another implementation, in a
// process of its own, that gets from the cabinet what there is to measure. Here the
// thermometers come when the program runs already, and must be found none the less. While the
// banks emit, the program is ended in order: everything is off, the watchdog leaves the
// machine alone, and the journal can be read.
func TestInTheGuestASessionWithAnotherMeter(t *testing.T) {
	needKernel(t)
	t.Parallel()
	files := sessionFiles(t)
	maps.Copy(files, anotherMeter(t))
	r := boot(t, Guest{
		Files: files, Pace: Skipping,
		Jobs: []Job{insideJob(sessionTest, "INSIDE_FAN=", "INSIDE_SIGNAL=SIGTERM", "INSIDE_METER=another", "INSIDE_LATE=yes")},
	})
	requirePassed(t, r)
	showMeasured(t, r, sessionTest)
}
