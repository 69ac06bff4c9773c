// Package live is the modelled cabinet as a board in real time, or faster: the same
// loop, journal, sockets, screen and page run on it as on the board of a real
// one. Buttons are pressed and faults made by hand.
package live
