// Package screen draws what there is to see of a tank on a terminal of 80 columns
// and 24 lines: first what it is doing and how long still, then whether hands may go
// into the bath, then what wants attention, then the readings against their limits.
//
// Words carry the meaning; colour, where it is wanted, only repeats it. It reads a
// status.View and nothing else.
package screen
