package prooftest

import (
	"strings"
	"time"

	"bathtender/firmware/status"
)

const (
	// idleMost is how long a run-on may take until the next step, pressMost how long
	// somebody may take to press a button.
	idleMost  = 30 * time.Minute
	pressMost = 2 * time.Minute
	// steadyMost is how long the readings may take to look well before a step.
	steadyMost = 30 * time.Second
)

// prepare brings the cabinet to what a step needs. Why is why the step cannot be
// tried; the error that the walk cannot go on.
func (w *Walk) prepare(s *Step) (why string, err error) {
	if err := w.next(); err != nil {
		return "", err
	}
	if why, err := w.rest(); why != "" || err != nil {
		return why, err
	}
	switch s.State {
	case Heating:
		if why, err := w.heat(); why != "" || err != nil {
			return why, err
		}
	case Starting:
		return w.chooseRecipe()
	}
	well, err := w.until(steadyMost, func(v *status.View) bool { return !s.Stands(v) })
	if err == nil && !well {
		why = "the cabinet shows it already, before anything was done"
	}
	return why, err
}

// rest waits for idle, with nothing latched.
func (w *Walk) rest() (why string, err error) {
	if w.view.Session.Phase != "idle" {
		if w.underway() {
			if _, err := w.Watcher.Ask("stop", ""); err != nil {
				w.Talk.Say("   Stop the session at the cabinet.")
			}
		}
		w.Talk.Say("   The fans run on until the cabinet is cool; this goes on by itself then.")
	}
	resting, err := w.until(idleMost, func(v *status.View) bool { return v.Session.Phase == "idle" })
	switch {
	case err != nil:
		return "", err
	case !resting:
		return "the cabinet did not come to rest", nil
	case len(w.view.Latched) == 0:
		return "", nil
	}
	if cleared, err := w.reset(); err != nil || cleared {
		return "", err
	}
	return "something waits for a reset: " + latches(w.view), nil
}

// reset has everything reset, over the socket where the machine allows that, else by
// the button, and reports whether nothing is latched any more.
func (w *Walk) reset() (bool, error) {
	cleared := func(v *status.View) bool { return len(v.Latched) == 0 }
	most := 5 * time.Second
	if _, err := w.Watcher.Ask("reset", ""); err != nil {
		w.Talk.Say("   Press the RESET button at the cabinet, and let it go.")
		most = pressMost
	}
	return w.until(most, cleared)
}

func latches(v *status.View) string {
	var names []string
	for _, l := range v.Latched {
		names = append(names, l.Name)
	}
	return strings.Join(names, ", ")
}
