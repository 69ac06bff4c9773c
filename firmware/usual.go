package main

// Where a board has its machine file and its control socket unless it is told
// otherwise.
const (
	usualMachine = "/etc/bathtender/machine.toml"
	usualSocket  = "/run/bathtender/control.sock"
)
