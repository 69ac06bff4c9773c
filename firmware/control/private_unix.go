//go:build unix

package control

import (
	"net"

	"golang.org/x/sys/unix"
)

// listenPrivately makes a socket that nobody else can reach before its permissions
// are set.
func listenPrivately(path string) (net.Listener, error) {
	before := unix.Umask(0o177)
	defer unix.Umask(before)
	return net.Listen("unix", path)
}
