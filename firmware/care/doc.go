// Package care says what a tank is due for: a change of liquid, a proof test, a foil
// test, a part to order; and how much detergent a fill takes. It reads what the journal
// and health have kept, changes nothing, and stops nothing.
package care
