package guest

import (
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// boot boots a guest with the first process and further files, and waits for its end.
func boot(t *testing.T, g Guest) *Result {
	t.Helper()
	g.Kernel = needKernel(t)
	files := map[string]File{"/init": program(t, "./sim/guest/init")}
	maps.Copy(files, g.Files)
	g.Files = files
	r, err := Boot(t.Context(), g)
	require.NoError(t, err)
	return r
}

// requirePassed demands that every job has passed, and shows what the guest has said
// otherwise.
func requirePassed(t *testing.T, r *Result) {
	t.Helper()
	if r.End != EndedPassed {
		t.Fatalf("%s after %s; the emulator: %q, events %q; the console:\n%s", r.End, r.Took.Round(time.Second), r.Stderr, r.Events, r.Console)
	}
}

// requireReset demands that the guest was reset, and that its console says so much.
func requireReset(t *testing.T, r *Result, says ...string) {
	t.Helper()
	good := r.End == EndedReset && slices.Contains(r.Events, "SHUTDOWN guest-reset")
	for _, text := range says {
		good = good && strings.Contains(r.Console, text)
	}
	if !good {
		t.Fatalf("%s after %s, and the console should say %q; the emulator: %q, events %q; the console:\n%s",
			r.End, r.Took.Round(time.Second), says, r.Stderr, r.Events, r.Console)
	}
}

// A guest that does as it is told passes; one job that fails, a reset and a guest that
// hangs are told from that and from each other.
func TestInTheGuestEveryEndIsTold(t *testing.T) {
	needKernel(t)
	t.Parallel()
	tell := withLibraries(t, needProgram(t, "busybox", "busybox-static"))
	path := needProgram(t, "busybox", "busybox-static")
	sh := func(name, line string) Job { return Job{Name: name, Args: []string{path, "sh", "-c", line}} }

	good := boot(t, Guest{Files: tell, Jobs: []Job{sh("hello", "echo hello from $0; test -d /sys/class/gpio")}})
	requirePassed(t, good)
	require.True(t, good.HasPassed("hello"))
	require.Contains(t, good.Output("hello"), "hello from")

	bad := boot(t, Guest{Files: tell, Jobs: []Job{sh("fails", "exit 3"), sh("next", "echo still run")}})
	require.Equal(t, EndedFailed, bad.End, bad.Console)
	require.False(t, bad.HasPassed("fails"))
	require.Contains(t, bad.Console, "guest: fails failed: exit status 3")
	require.True(t, bad.HasPassed("next"))

	reset := boot(t, Guest{Files: tell, Jobs: []Job{sh("reset", path+" reboot -f")}})
	requireReset(t, reset)

	late := boot(t, Guest{Files: tell, Jobs: []Job{sh("late", path+" sleep 1000")}, Limit: 8 * time.Second})
	require.Equal(t, EndedTimedOut, late.End, late.Console)

	wrong := boot(t, Guest{Files: tell, Devices: []string{"-device", "no-such-part"}})
	require.Equal(t, EndedBadly, wrong.End, wrong.Console)
	require.Contains(t, wrong.Stderr, "no-such-part")
}
