// Package probes plays a 1-Wire bus with digital thermometers to the kernel of an
// emulated machine, all the way: the kernel finds a USB adapter for I2C on a USB bus
// that is a socket (USB/IP, its vhci-hcd), on that I2C bus a bridge to 1-Wire (its
// driver ds2482), and on the 1-Wire bus thermometers (its w1_therm). What reads them
// reads what it would read on a board.
//
// What the parts do is written from their data sheets, from memory, as far as the kernel
// asks for it; there is no bit timing, and nothing electrical.
package probes
