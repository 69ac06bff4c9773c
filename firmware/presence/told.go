package presence

import (
	"bathtender/firmware/recipe"
	"bathtender/firmware/supervisor"
	"bathtender/interlock"
)

// Told answers the command that was carried out at this tick. A reset acts when
// it is let go, a tick later.
func (d *Desk) Told(s *supervisor.Supervisor, events []supervisor.Event) {
	c := d.asked
	if c == nil {
		return
	}
	if c.Verb == Reset && !d.resetting {
		d.resetting = true // let go at the next tick
		return
	}
	d.asked, d.resetting = nil, false
	answer := Answer{OK: true}
	for _, e := range events {
		if !concerns(c.Verb, &e) {
			continue
		}
		if e.Sequence.Kind == recipe.StartRefused || e.Interlock.Kind == interlock.ResetRefused {
			answer.OK = false
		}
		if answer.Text != "" {
			answer.Text += "; "
		}
		answer.Text += s.Sentence(e)
	}
	if answer.Text == "" {
		answer = nothing(c.Verb)
	}
	c.Answer <- answer
}

// concerns reports whether an event is what came of a command.
func concerns(v Verb, e *supervisor.Event) bool {
	switch v {
	case Reset:
		return e.Sequence.Kind == recipe.NoEvent && (e.Interlock.Kind == interlock.WasReset || e.Interlock.Kind == interlock.ResetRefused)
	case Stop:
		return e.Sequence.Kind == recipe.Ended
	default:
		return e.Sequence.Kind == recipe.Started || e.Sequence.Kind == recipe.StartRefused
	}
}

// nothing is the answer where nothing has come of a command.
func nothing(v Verb) Answer {
	switch v {
	case Reset:
		return Answer{OK: true, Text: "there was nothing to reset"}
	case Stop:
		return Answer{OK: true, Text: "no session was running"}
	default:
		return Answer{Text: "nothing has come of it: START is pressed at the cabinet"}
	}
}
