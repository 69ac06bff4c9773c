// Package watchdog feeds the board's own watchdog timer, through the kernel's
// /dev/watchdog: the board is reset when the timer was not fed for as long as it
// was set to.
//
// A timer that stops when its program dies would be of no use; such a device is
// refused. An orderly Close stops the timer, by the letter V that the kernel asks
// for; whatever else ends the program leaves it running.
//
// A reset of the board is the last thing that helps. It comes after the lease of
// the outputs, and only helps where the lines fall off by themselves during a
// reset.
package watchdog
