// Package bench is a hand on the bench: the shipped supervisor without a tank.
// A person sets what it reads, as with potentiometers, jumpers and dummy loads,
// lets time pass tick by tick, and sees permits, delays and trips. What is not
// set follows what is commanded, as in a healthy cabinet.
//
// There is one plain language for it, the same at a prompt and in a script:
// docs/bench.md explains it. A script says what it expects, so that it can be
// kept as a test of a machine file.
//
// The package holds no rule of the supervisor and switches nothing of it off.
// It models no bath: nothing warms unless somebody turns the knob.
package bench
