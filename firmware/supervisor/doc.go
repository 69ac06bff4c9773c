// Package supervisor is the one function: Tick takes a snapshot and a request
// and gives outputs and events.
//
// A tick goes one way: health estimates, the interlock judges, the recipe
// wants, and what goes out is what is wanted and permitted. Five things drive
// it and none has a copy of its logic: the real board, the modelled plant, a
// recorded trace, a hand on the bench, the exhaustive search.
//
// Tick is pure: no clock, no I/O, no goroutine, no allocation, no map, nothing
// random. The same snapshots and requests give the same outputs, bit for bit,
// on every processor.
package supervisor
