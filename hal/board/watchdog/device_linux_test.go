package watchdog

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestFilesThatAreNoWatchdog(t *testing.T) {
	file := filepath.Join(t.TempDir(), "watchdog")
	_, err := Open(file, time.Second)
	assert.EqualError(t, err, "the watchdog at "+file+" cannot be opened: no such file or directory")
	_, err = Open(file, time.Millisecond)
	assert.ErrorContains(t, err, "whole seconds")

	require.NoError(t, os.WriteFile(file, nil, 0o600))
	_, err = Open(file, time.Second)
	assert.EqualError(t, err, file+" is not a watchdog: inappropriate ioctl for device")
	left, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Empty(t, left, "nothing is written to what may be a disk")
}

// What the kernel's device gets is the same on a file: one byte a feed, then V.
func TestTheBytesThatAreWritten(t *testing.T) {
	file := filepath.Join(t.TempDir(), "watchdog")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	f, err := os.OpenFile(file, os.O_WRONLY, 0)
	require.NoError(t, err)
	defer f.Close()
	dog := &Dog{path: file, device: unclosed{kernel(f.Fd())}}
	require.NoError(t, dog.Feed())
	require.NoError(t, dog.Feed())
	require.NoError(t, dog.Close())
	left, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, "\x00\x00V", string(left))
}

// unclosed leaves the descriptor to the test, which opened it.
type unclosed struct{ kernel }

func (unclosed) close() error { return nil }
