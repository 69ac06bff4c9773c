// Package machine reads the machine file: one TOML file that describes one tank
// with its cabinet. From it come what the protective functions need to know, the
// fixed times of a session, the sizing sheet and the wiring table.
//
// Reading is strict. Every value that a protective function rests on must be
// stated; what may be left out is listed in defaults.go. Each value has a range,
// and values that contradict each other are refused, since a machine file with a
// slip in it is a protective function with a slip in it.
//
// The package does not decide anything while the tank runs.
package machine
