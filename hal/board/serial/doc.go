// Package serial is a serial line to a part of the cabinet: raw bytes, with time
// limits, and told apart from one that is gone. It is for Linux.
package serial
