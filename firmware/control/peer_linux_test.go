package control_test

import (
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// nobody is a user that is in no group of the program's.
const nobody = 65534

// Whoever is no member of the socket's group is refused, even where the permissions of
// the socket would let him in.
func TestAStrangerIsRefused(t *testing.T) {
	if os.Geteuid() != 0 {
		if os.Getenv("BATHTENDER_CI") != "" {
			t.Fatal("only root can be somebody else")
		}
		t.Skip("only root can be somebody else")
	}
	path := serve(t, echo)
	require.NoError(t, os.Chmod(path, 0o666))
	for dir := filepath.Dir(path); dir != os.TempDir() && len(dir) > 1; dir = filepath.Dir(dir) {
		require.NoError(t, os.Chmod(dir, 0o755))
	}
	assert.Contains(t, askAs(t, path, nobody), `"error":"user 65534 is not in the group 0 that may ask this"`)
	assert.Contains(t, askAs(t, path, 0), `"ok":true`)
}

// askAs asks for a stop as another user and returns the answer. Only one thread is
// somebody else; it ends with its goroutine.
func askAs(t *testing.T, path string, user int) string {
	answer := make(chan string, 1)
	go func() {
		defer close(answer)
		runtime.LockOSThread() // and never unlocked
		if _, _, failed := unix.RawSyscall(unix.SYS_SETRESGID, uintptr(user), uintptr(user), uintptr(user)); failed != 0 {
			return
		}
		if _, _, failed := unix.RawSyscall(unix.SYS_SETRESUID, uintptr(user), uintptr(user), uintptr(user)); failed != 0 {
			return
		}
		fd, err := unix.Socket(unix.AF_UNIX, unix.SOCK_STREAM, 0)
		if err != nil {
			return
		}
		defer unix.Close(fd)
		if err := unix.Connect(fd, &unix.SockaddrUnix{Name: path}); err != nil {
			answer <- err.Error()
			return
		}
		if _, err := unix.Write(fd, []byte(`{"ask":"stop"}`+"\n")); err != nil {
			answer <- err.Error()
			return
		}
		buffer := make([]byte, 1000)
		n, err := unix.Read(fd, buffer)
		if err != nil {
			answer <- err.Error()
			return
		}
		answer <- string(buffer[:n])
	}()
	return <-answer
}
