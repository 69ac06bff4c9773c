//go:build !linux

package control

import "net"

// checkPeer leaves it to the permissions of the socket where the system does not
// tell who asks.
func checkPeer(net.Conn) error { return nil }
