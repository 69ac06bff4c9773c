// Package hal says what a cabinet can tell the supervisor and what the
// supervisor can tell the cabinet: a Snapshot comes in, Outputs go out, and a
// Board stands between them and whatever is below (real lines and buses, the
// modelled plant, a recorded trace).
//
// Zero is safe everywhere. The zero Reading is no reading, the zero Contact is
// an absent contact, the zero Outputs is everything off.
//
// Quantities are integers with a unit: those of periph's physic package, and
// the two that it lacks, RotationalSpeed and Volume.
package hal
