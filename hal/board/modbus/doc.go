// Package modbus reads a mains meter that speaks Modbus RTU, beside the loop.
//
// It has a client of its own, for functions 03 and 04 alone, because an answer
// of RTU does not say what it answers: there is no transaction number. A client
// that asks on after a time-out takes the late answer to one request for that to
// the next, and goes on like that, with right checksums, for ever. What is done
// against it:
//
//   - There is one request at a time, and nothing is sent before the line has been
//     quiet for 3.5 characters; what came in unasked is thrown away.
//   - After a request without a good answer the client says nothing until the line
//     has been quiet for longer than the meter is ever late, and longer each time.
//     An answer that is late by no more is never taken for another.
//   - Two requests after one another ask for different numbers of registers, where
//     the meter lets them. The length of an answer then tells whose it is, even if
//     the meter is later than it is ever said to be: what is left is an answer that
//     comes just while a request of its own length waits.
//   - The first answer after a failure is thrown away, and asked for again.
//
// The sources are "MODBUS over Serial Line Specification and Implementation Guide
// V1.02" and "MODBUS Application Protocol Specification V1.1b3".
package modbus
