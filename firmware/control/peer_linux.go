package control

import (
	"fmt"
	"net"
	"os"
	"os/user"
	"slices"
	"strconv"

	"golang.org/x/sys/unix"
)

// checkPeer says why whoever is at the other end may not ask for anything but to
// see: it is neither root, nor the program's own user, nor a member of the socket's
// group. The file's permissions say the same; a folder that was copied, or a
// descriptor that was handed on, does not get round this.
func checkPeer(conn net.Conn) error {
	c, ok := conn.(*net.UnixConn)
	if !ok {
		return fmt.Errorf("the connection is not that of a Unix socket")
	}
	raw, err := c.SyscallConn()
	if err != nil {
		return fmt.Errorf("who asks is not known: %w", err)
	}
	var peer *unix.Ucred
	var failed error
	if err := raw.Control(func(fd uintptr) {
		peer, failed = unix.GetsockoptUcred(int(fd), unix.SOL_SOCKET, unix.SO_PEERCRED)
	}); err != nil || failed != nil {
		return fmt.Errorf("who asks is not known")
	}
	if peer.Uid == 0 || int(peer.Uid) == os.Geteuid() || int(peer.Gid) == os.Getegid() {
		return nil
	}
	who, err := user.LookupId(strconv.Itoa(int(peer.Uid)))
	if err == nil {
		if groups, err := who.GroupIds(); err == nil && slices.Contains(groups, strconv.Itoa(os.Getegid())) {
			return nil
		}
	}
	return fmt.Errorf("user %d is not in the group %d that may ask this", peer.Uid, os.Getegid())
}
