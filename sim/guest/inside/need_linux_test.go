package inside

import (
	"os"
	"testing"
)

// needGuest skips a test outside an emulated machine.
func needGuest(t *testing.T) {
	t.Helper()
	if os.Getenv("BATHTENDER_GUEST") == "" {
		t.Skip("runs in an emulated machine only; see sim/guest")
	}
}
