// Package prooftest walks the owner of a tank through its protective functions on
// the real cabinet: what to provoke by hand, what must be seen, and how soon. It
// watches and judges by itself; what cannot be provoked safely by hand is named, with
// how it may be proven otherwise, and never counts as passed.
//
// A proof test, in the sense of IEC 61511 (from memory), is a test in service, again
// and again at a stated interval, that finds the failures which nothing else shows: a
// contact that is bridged, a plug that is not wired, a contactor that is welded. A
// protective function that is only asked for when something goes wrong must be asked
// now and then when nothing does.
package prooftest
