// Package health works out from the mains meter and the bath's temperature
// what no sensor shows: what each bank takes, and how much liquid there is.
//
// It estimates and decides nothing. Estimates are float64 inside and integers
// outside; every product that is added to something is converted explicitly,
// and only + - * / are used, so that all processors get the same bits. Like the
// tick it has no clock, no allocation and nothing random.
package health
