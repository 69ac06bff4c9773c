package fileerror

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestTheReasonAlone(t *testing.T) {
	gone := filepath.Join(t.TempDir(), "gone")
	_, err := os.ReadFile(gone)
	assert.Equal(t, syscall.ENOENT, Cause(err))
	assert.Equal(t, syscall.ENOENT, Cause(fmt.Errorf("around it: %w", err)))
	assert.Equal(t, syscall.ENOENT, Cause(os.Rename(gone, gone+"2")))
	other := errors.New("other")
	assert.Equal(t, other, Cause(other))
	assert.NoError(t, Cause(nil))
}
