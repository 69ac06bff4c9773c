// Package onewire reads 1-Wire digital thermometers, beside the loop: a
// conversion takes up to 750 ms and one wire carries one of them at a time.
//
// Kernel reads them through Linux, which is the usual way. Wire reads them
// through any bus of periph.io/x/conn/v3/onewire, for a board whose bus the
// kernel does not drive. Thermometers samples either in one goroutine: since the
// wire is one, more of them would only wait for each other.
//
// The value that a thermometer has before its first conversion, 85 degC, is
// passed on as it is: the interlock judges it.
package onewire
