package control

import (
	"errors"
	"fmt"
	"io/fs"
	"net"
	"os"
	"path/filepath"

	"bathtender/firmware/fileerror"
)

// The names of the sockets in their folder.
const (
	ControlSocket = "control.sock"
	StatusSocket  = "status.sock"
)

// The permissions of the sockets: owner and group may ask; anybody may watch who may
// enter the folder.
const (
	ControlMode = fs.FileMode(0o660)
	StatusMode  = fs.FileMode(0o666)
)

// Listen makes a socket in a folder. One that a program before left behind is
// taken away; one that answers is not.
func Listen(folder, name string, mode fs.FileMode) (net.Listener, error) {
	path := filepath.Join(folder, name)
	if info, err := os.Lstat(path); err == nil {
		if info.Mode()&fs.ModeSocket == 0 {
			return nil, fmt.Errorf("%s is no socket, and nothing else may lie there", path)
		}
		if conn, err := net.Dial("unix", path); err == nil {
			_ = conn.Close()
			return nil, fmt.Errorf("another program answers at %s already", path)
		}
		if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return nil, fmt.Errorf("the old socket %s cannot be removed: %w", path, fileerror.Cause(err))
		}
	}
	listener, err := listenPrivately(path)
	if err != nil {
		return nil, fmt.Errorf("the socket %s cannot be made: %w", path, fileerror.Cause(err))
	}
	if err := os.Chmod(path, mode); err != nil {
		_ = listener.Close()
		return nil, fmt.Errorf("the socket %s cannot be given its permissions: %w", path, fileerror.Cause(err))
	}
	return listener, nil
}
