// Package plant is a modelled tank with its cabinet: the physics of bath,
// heater, drivers and fans, the sensors that watch them, the relays that switch
// them, and everything that can go wrong with them.
//
// A Plant is a hal.Board: the supervisor reads its snapshots and writes its
// outputs as it does with a real one. Step moves its physics on. What is
// really the case, which no sensor may tell, is in Truth.
//
// It works in float64 and SI units, with + - * / and Sqrt only, and draws its
// noise from a seeded generator: the same configuration, world, faults and
// outputs give the same snapshots, bit for bit, on every processor. A step does
// not allocate. A Plant is a plain value: assigning it to another variable
// copies all of its state, and two of them can be compared.
//
// It is a model. Its figures are typical, each with its reason beside it; a real
// tank differs from them, and no trace of a real one stands behind them yet. It
// knows no stratification of the bath, no power factor, no parts in the bath,
// and takes the liquid for water.
package plant
