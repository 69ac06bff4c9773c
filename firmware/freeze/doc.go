// Package freeze turns a value of plain numbers into one line of text and back:
// structs and arrays of integers, floats and bools, as the memories of the
// deciding code are. Every bit comes back, on every processor.
//
// The line begins with a fingerprint of the value's type, so that what another
// version of the program has frozen is refused and never misread.
package freeze
