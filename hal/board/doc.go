// Package board is the cabinet as it really is: a hal.Board over the lines of GPIO
// chips, tachs, probes, a meter and the board's own watchdog.
//
// Open takes all lines, the outputs first and off, or none: it says everything that
// is wrong in one go. From then on outputs are a lease. A Write that the next one
// does not follow within the lease is taken back, and once that has happened a Write
// is refused until the cabinet was read anew: what a tick decided before the pause
// must not be switched on after it.
//
// What could not be read is no reading and never a level; an output that does not
// read back as it was set shows in the next snapshot. The watchdog is fed when the
// outputs say so, and by nothing else.
//
// The lease ends in this program too, and cannot help where the program as a whole
// stands still, or the kernel does not return from a call. That is what the watchdog
// relay in the contactor's coil circuit and the board's watchdog are for.
package board
