package prooftest

import (
	"errors"
	"time"

	"bathtender/firmware/journal"
	"bathtender/firmware/status"
)

// Walk is one walk through some steps.
type Walk struct {
	Steps []Step
	// Recipe is the one that is started where a step needs a session; it must heat.
	// Where it is empty its name is asked for.
	Recipe string
	Tick   time.Duration // of the loop
	// Idle is the watts that the meter must come under when the heater is off.
	Idle    float64
	Watcher Watcher
	Talk    *Talk

	view   *status.View // the last
	before float64      // the time of the one before it
}

// errEnded is that nobody answers any more.
var errEnded = errors.New("the walk was ended before it came to this")

// Run walks through the steps. Broken is why it could not go on to the end, nil
// where it could; what was not reached is in the results as not tried.
func (w *Walk) Run() (results []Result, broken error) {
	if broken = w.begin(); broken == nil {
		broken = w.next()
	}
	for i := range w.Steps {
		s := &w.Steps[i]
		r := Result{Step: s, Outcome: journal.ProofNotTried}
		switch {
		case !s.ByHand():
			r.Why = "not by hand: " + s.Otherwise
		case broken != nil:
			r.Why = errEnded.Error()
		default:
			broken = w.step(i, &r)
			if broken != nil && r.Outcome == journal.ProofNotTried {
				r.Why = broken.Error()
			}
		}
		if broken == nil {
			w.Talk.Say("   %s: %s", s.Name(), r.Sentence())
		}
		results = append(results, r)
	}
	w.end(broken)
	return results, broken
}

// begin asks for what must be done before anything is tried.
func (w *Walk) begin() error {
	w.Talk.Say("Switch the drivers' supply off at their isolator and lock it, so that nothing can emit. The tank must be")
	w.Talk.Say("filled and the lid on. Mains stays on for the rest: touch plugs of low voltage only, and keep hands out of the bath.")
	for {
		switch w.Talk.Ask("Are the drivers off at their isolator? Answer skip where there is none") {
		case Yes:
			return nil
		case Skip:
			w.Talk.Say("Then keep everybody away from the bath: where a session is started, emitters may run.")
			return nil
		case None:
			return errEnded
		}
		w.Talk.Say("Nothing is tried before that.")
	}
}

// end leaves nothing running, and says what must be undone.
func (w *Walk) end(broken error) {
	if w.view != nil && w.underway() {
		_, _ = w.Watcher.Ask("stop", "")
	}
	if broken != nil {
		w.Talk.Say("The walk ends here: %s. What was done so far is kept.", broken)
	}
	w.Talk.Say("See that every plug, switch and isolator is back as it belongs before the tank is used.")
}

// step does one step, and fills in its result. The error is that the walk cannot go on.
func (w *Walk) step(i int, r *Result) error {
	s := r.Step
	w.Talk.Say("")
	w.Talk.Say("%d of %d: %s", i+1, len(w.Steps), s.Name())
	w.Talk.Say("   To do: %s.", s.Do)
	w.Talk.Say("   Must be seen %s: %s.", s.Soon(), s.Takes())
	switch w.Talk.Ask("   Ready?") {
	case None:
		return errEnded
	case No:
		return errors.New("its owner ended the walk")
	case Skip:
		r.Why = "skipped"
		return nil
	}
	if why, err := w.prepare(s); why != "" || err != nil {
		r.Why = why
		return err
	}
	done, err := w.provoke(s, r)
	if err == nil && done {
		err = w.putRight(s, r)
	}
	return err
}

// next takes the next view.
func (w *Walk) next() error {
	v, err := w.Watcher.View()
	if err != nil {
		return err
	}
	if err := w.Talk.ended.Err(); err != nil {
		return errEnded
	}
	if w.view != nil {
		w.before = w.view.Uptime
		if v.Uptime < w.before {
			w.view = v
			return errors.New("the program was started anew in the middle of the walk")
		}
	}
	w.view = v
	return nil
}

// until takes views until something is so, and reports whether it came to be within a
// time on the clock of the views.
func (w *Walk) until(most time.Duration, so func(v *status.View) bool) (bool, error) {
	for end := w.view.Uptime + most.Seconds(); ; {
		if err := w.next(); err != nil {
			return false, err
		}
		if so(w.view) {
			return true, nil
		}
		if w.view.Uptime >= end {
			return false, nil
		}
	}
}

// underway reports whether a session is running that a stop would end.
func (w *Walk) underway() bool {
	phase := w.view.Session.Phase
	return phase != "idle" && phase != "run-on"
}
