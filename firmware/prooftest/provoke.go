package prooftest

import (
	"fmt"
	"math"
	"time"

	"bathtender/firmware/journal"
	"bathtender/firmware/status"
)

const (
	// handMost is how long a hand may take before it is asked whether it was done.
	handMost = time.Minute
	// longer is how much longer than the allowed time and the delay again is waited, so
	// that a function that is late is told from one that is not there.
	longer = 10 * time.Second
	// coarsest is the time between views from which nothing is judged, unless the delay
	// is more than twice as long. The program shows itself anew every half second, and
	// at once when something has happened.
	coarsest = 750 * time.Millisecond
)

// moment is when a signal came, as far as the views tell: after one, by the other.
type moment struct{ after, by float64 }

// again is how often a signal may go away before its function acts.
const again = 10

// provoke has the owner do what the step needs, and judges what is seen. Done says
// that it was done, so that it must be put right.
func (w *Walk) provoke(s *Step, r *Result) (done bool, err error) {
	said := newSaid(s.Function, s.Place)
	from := w.view.Uptime
	w.Talk.Say("   Now %s.", s.Do)
	if s.State == Starting {
		if w.Talk.Ask("   Done?") != Yes {
			r.Why = "it was not done"
			return false, nil
		}
		if r.Why, err = w.start(); r.Why != "" || err != nil {
			return true, err
		}
	}
	for range again {
		came, why, err := w.signal(s, said, from)
		if came == nil {
			if r.Why = why; why == noSignal {
				r.Outcome = journal.ProofFailed
			}
			return err == nil, err
		}
		gone, err := w.judge(s, r, said, came, from)
		if err != nil || !gone {
			return true, err
		}
		w.Talk.Say("   It was seen, and has gone again; it must stay.")
	}
	r.Why = "its signal comes and goes: look for a loose wire"
	return true, nil
}

// judge waits until the function has acted on a signal that came, and judges how soon.
// Gone says that the signal went away before.
func (w *Walk) judge(s *Step, r *Result, said *said, came *moment, from float64) (gone bool, err error) {
	gap := came.by - came.after
	// A tick to sample the cause, and one to show that it has acted.
	r.Allowed = (s.Delay + s.Lag + 2*w.Tick).Seconds() + gap
	if most := math.Max(coarsest.Seconds(), s.Delay.Seconds()/2); gap > most {
		r.Allowed, r.Why = 0, fmt.Sprintf("the program was seen only every %s, too seldom to judge %s", seconds(gap), seconds(s.Delay.Seconds()))
		return false, nil
	}
	act, acted := said.acted(w.view, from)
	patience := time.Duration(r.Allowed*float64(time.Second)) + s.Delay + longer
	if !acted {
		_, err = w.until(patience, func(v *status.View) bool {
			act, acted = said.acted(v, from)
			gone = !acted && !s.Stands(v)
			return acted || gone
		})
	}
	switch {
	case err != nil:
		return false, err
	case gone:
		r.Allowed = 0
		return true, nil
	case !acted:
		r.Outcome = journal.ProofFailed
		r.Why = fmt.Sprintf("not seen within %s, %s allowed", seconds(patience.Seconds()), seconds(r.Allowed))
		return false, nil
	}
	r.Seen = max(act.at-came.after, 0)
	if r.Seen > r.Allowed+1e-6 {
		r.Outcome = journal.ProofFailed
		r.Why = fmt.Sprintf("seen only after %s, %s allowed", seconds(r.Seen), seconds(r.Allowed))
		return false, nil
	}
	// What is between two views cannot be told from beside; there the program is held to
	// what it says itself.
	if most := s.Delay + 2*w.Tick; act.stood > most {
		r.Outcome = journal.ProofFailed
		r.Why = fmt.Sprintf("by its own words it acted only after %s, %s allowed", seconds(act.stood.Seconds()), seconds(most.Seconds()))
		return false, nil
	}
	return false, w.taken(s, r, said)
}

// noSignal is what is said of a thing that was done and does not show.
const noSignal = "it was done, and its signal does not reach the program"

// signal waits until the cabinet shows that it has been done. Where it does not, the
// reason comes instead of a moment.
func (w *Walk) signal(s *Step, said *said, from float64) (came *moment, why string, err error) {
	if s.Stands(w.view) { // a start has shown it already
		return &moment{w.before, w.view.Uptime}, "", nil
	}
	for {
		shown, err := w.until(handMost, func(v *status.View) bool {
			_, acted := said.acted(v, from)
			return s.Stands(v) || acted
		})
		if err != nil {
			return nil, "", err
		}
		if shown {
			return &moment{w.before, w.view.Uptime}, "", nil
		}
		switch w.Talk.Ask("   Nothing is seen of it yet. Has it been done?") {
		case Yes:
			return nil, noSignal, nil
		case Skip:
			return nil, "skipped", nil
		case None:
			return nil, "", errEnded
		}
	}
}
