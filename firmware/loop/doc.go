// Package loop drives a supervisor on a board, tick by tick: it reads the board,
// fills in what only the program knows, ticks, writes the outputs, hands the tick
// to the journal, and publishes what there is to see. The cabinet's program and the
// simulated cabinet in real time both run it.
//
// Nothing that it calls in a tick waits for a disk, a socket or a slow sensor.
package loop
