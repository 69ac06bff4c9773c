// Package interlock decides what is allowed, given what the cabinet says.
//
// It holds one table of protective functions. Every tick each of them gives a
// verdict on its cause; Judge turns the verdicts into Permits, keeps the latches
// and the first-out, and says what happened as Events. The package decides
// nothing about recipes and drives nothing.
//
// It is pure: integers only, no clock, no I/O, no allocation, nothing random.
// What it remembers is Memory, one small comparable value.
package interlock
