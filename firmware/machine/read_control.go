package machine

import (
	"time"

	"bathtender/firmware/tomlfile"
	"bathtender/hal/quantity"
)

// confirmUsual is how long a selection waits where nothing else is said.
const confirmUsual = 30 * time.Second

// Where a start or a reset may come from.
const (
	ByButton = "button"
	BySocket = "socket"
)

func (r *reader) readControl() {
	to, t := &r.m.Control, r.control
	*to = Control{Start: ByButton, Reset: ByButton, Confirm: confirmUsual}
	if t == nil {
		return
	}
	to.Start = t.Choice("start", ByButton, ByButton, BySocket)
	to.Reset = t.Choice("reset", ByButton, ByButton, BySocket)
	to.Recipe = t.Text("recipe", 40)
	to.Confirm = tomlfile.Or(t, "confirm", quantity.Duration, confirmUsual, 5*time.Second, 5*time.Minute)
}
