// Package gpiochip takes lines of a GPIO chip from the Linux kernel, through the
// second version of its character device (linux/gpio.h), which kernels have from 5.10
// on.
//
// It does what lines that switch mains need. Outputs are taken in one request that
// states their level, off, so that nothing is switched by taking them; they are
// read back without being reconfigured; whatever the kernel refuses is an error and
// never a level. Edges carry the kernel's monotonic time and a number by which a
// lost one is noticed.
//
// A level here is always whether the line is active: what "active low" means on
// the wire has been settled when the line was taken.
//
// What becomes of an output when the program dies is not this package's to say:
// the kernel lets go of the line, and the chip decides. Resistors, the watchdog
// relay and the board's own watchdog settle that.
package gpiochip
