// Package page serves a page to watch a tank: what the running program says over
// its socket, what stands in the journal, and metrics for a monitor. It runs in a
// process and as a user of its own, has nothing that could start, stop or reset
// anything, and is told nothing that it could change.
//
// What it shows as current is no older than three seconds. Later it says that there
// is no word from the program, and shows no value at all.
//
// The page is whole without a script. A small one of its own takes parts that the
// same templates have rendered and puts them in place of the old ones.
package page
