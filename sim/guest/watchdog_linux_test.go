package guest

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A program that feeds the watchdog, and is killed, or stopped so that it is there but
// does nothing, leads to a reset: by the kernel's own watchdog, and by one that is a
// part of the machine. The timeout is 3 s from the last feeding, which was up to half a
// second before the signal.
func TestInTheGuestTheWatchdogResets(t *testing.T) {
	needKernel(t)
	t.Parallel()
	const test = "TestTheWatchdogBites"
	const part = "-device i6300esb -action watchdog=reset"
	for _, row := range []struct {
		watchdog, identity, signal string
		devices                    []string
		console, event             string // what shows that it was the watchdog, and nothing else
	}{
		{"software", "Software Watchdog", "SIGKILL", nil, "softdog: Initiating system reboot", "SHUTDOWN guest-reset"},
		{"software", "Software Watchdog", "SIGSTOP", nil, "softdog: Initiating system reboot", "SHUTDOWN guest-reset"},
		{"a part of the machine", "i6300ESB timer", "SIGKILL", strings.Fields(part), "still there", "WATCHDOG reset"},
		{"a part of the machine", "i6300ESB timer", "SIGSTOP", strings.Fields(part), "still there", "WATCHDOG reset"},
	} {
		t.Run(row.watchdog+" "+row.signal, func(t *testing.T) {
			r := boot(t, Guest{
				Files: insideFiles(t), Devices: row.devices, Pace: Skipping,
				Jobs: []Job{insideJob(test, "INSIDE_WATCHDOG="+row.identity, "INSIDE_SIGNAL="+row.signal)},
			})
			requireReset(t, r, row.console)
			require.Contains(t, r.Events, row.event)
			last := lastThere(r)
			t.Logf("%s, %s: the machine was reset %.1f s after the signal", row.watchdog, row.signal, last)
			require.GreaterOrEqual(t, last, 2.3, "it bit before its time")
			require.LessOrEqual(t, last, 3.2, "it bit too late")
		})
	}
}
