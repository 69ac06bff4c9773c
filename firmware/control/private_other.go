//go:build !unix

package control

import "net"

func listenPrivately(path string) (net.Listener, error) { return net.Listen("unix", path) }
