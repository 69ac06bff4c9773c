package watchdog

import (
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestTheKernelsWatchdog opens a real one, which a guest has. It stays up only if
// feeding and the orderly close work: the timeouts pass while the test runs.
func TestTheKernelsWatchdog(t *testing.T) {
	if os.Getenv("BATHTENDER_GUEST") != "1" {
		t.Skip("a watchdog resets its machine: this runs in a guest alone (BATHTENDER_GUEST=1)")
	}
	const path = "/dev/watchdog"
	dog, err := Open(path, 2*time.Second)
	require.NoError(t, err)
	_, err = Open(path, 2*time.Second)
	assert.ErrorContains(t, err, "the watchdog at /dev/watchdog is in use by another program")
	for range 6 {
		time.Sleep(500 * time.Millisecond)
		require.NoError(t, dog.Feed())
	}
	require.NoError(t, dog.Close())
	time.Sleep(3 * time.Second)

	_, err = Open(path, 100_000*time.Second)
	assert.EqualError(t, err, "the watchdog at /dev/watchdog cannot be set to 100000 s: invalid argument")
	time.Sleep(3 * time.Second)
}
