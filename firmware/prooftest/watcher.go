package prooftest

import "bathtender/firmware/status"

// Watcher is the running program, as it is seen from beside: what it shows, and what
// may be asked of it.
type Watcher interface {
	// View waits for the next view. Views should come ten times a second: no time is
	// judged finer than they come. An error means that there will be no more.
	View() (*status.View, error)
	// Ask asks for "start" with a recipe, "stop" or "reset". The text is what the
	// program says to it; the error that it refuses, which it may well do.
	Ask(what, recipe string) (text string, err error)
}
