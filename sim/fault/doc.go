// Package fault is the catalogue of what can be made to go wrong in the
// modelled cabinet. Each fault has a name of its own, says what it means, which
// fan, probe or bank it is of and how much of it there is, and sets it in the
// plant.
package fault
