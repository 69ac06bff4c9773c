package main

// Where a board has its machine file, its journal and its sockets unless it is told
// otherwise.
const (
	usualMachine = "/etc/bathtender/machine.toml"
	usualJournal = "/var/lib/bathtender"
	usualSockets = "/run/bathtender"
	// The sockets of those who ask for something, and of those who only watch.
	usualControl = usualSockets + "/control.sock"
	usualStatus  = usualSockets + "/status.sock"
)
