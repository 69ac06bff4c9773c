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

// Risks tells what the owner takes upon himself by allowing more than a button, a
// paragraph each.
func (c *Control) Risks() []string {
	var risks []string
	if c.Start == BySocket {
		risks = append(risks, wrap("  start = \"socket\": a command alone begins a session. Nobody need stand at the "+
			"cabinet: hands may be in the bath, the lid off, the tank empty of parts or of "+
			"liquid that the float does not miss. Whoever can log in to the board can do it. "+
			"Local rules on remote starting apply.", 78, "  "))
	}
	if c.Reset == BySocket {
		risks = append(risks, wrap("  reset = \"socket\": a command alone resets a trip, lockouts included. "+
			"ISO 13849-1 asks for a manual reset by somebody who sees that nobody is in danger "+
			"(from memory).", 78, "  "))
	}
	return risks
}
