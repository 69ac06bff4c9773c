// Package presence turns what its owner asks, by the buttons of the cabinet or
// over a socket, into the one request of a tick. Whoever stands at the cabinet
// comes first: unless the machine file allows more, a socket can stop a session
// and select a recipe, and it takes the START button to begin and the RESET button
// to reset.
package presence
