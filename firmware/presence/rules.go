package presence

import "time"

// Rules is what a machine allows. The zero Rules allow nothing without a button.
type Rules struct {
	// Usual is the recipe of the START button where none has been selected; empty
	// where one must be.
	Usual string
	// Recipes are all that there are.
	Recipes []string
	// StartFromAfar lets a start over the socket begin a session, ResetFromAfar
	// a reset over it act: nobody need stand at the cabinet.
	StartFromAfar, ResetFromAfar bool
	// Confirm is how long a selection waits for the START button.
	Confirm time.Duration
}
