// Package recipe runs a cleaning recipe: it takes a session from phase to phase
// and says at each tick what it wants switched on.
//
// It decides nothing about safety. What it wants is cut down to what the
// interlock permits, and a trip that takes away what a session needs ends it.
// It is pure, as interlock is; what it remembers is Memory. Reading recipe
// files is the one part that is not inside a tick.
package recipe
