// Package pulsemeter reads the watts of a mains meter that gives a pulse for each
// so many watt-hours on a line (an S0 output, IEC 62053-31).
//
// Watts are the energy of one pulse over the time since the pulse before. While
// no pulse comes they are at most the energy of one pulse over the time since the
// last, and this is what is then read: the reading falls by itself when a load
// goes off. A wire that has broken looks like no load, and a pulse meter cannot
// tell the two apart; a line that cannot be read is no reading.
package pulsemeter
