package prooftest

import (
	"fmt"
	"strings"
	"time"

	"bathtender/firmware/journal"
	"bathtender/firmware/status"
	"bathtender/interlock"
)

const (
	// fallMost is how long contactor and relay may take to let go and be seen to, and
	// meterMost how long until the meter shows it.
	fallMost  = time.Second
	meterMost = 5 * time.Second
)

// taken judges what the function has taken away: the permits, the outputs, and where
// the contactor was closed before, what the cabinet itself shows.
func (w *Walk) taken(s *Step, r *Result, said *said) error {
	fail := func(why string) {
		r.Outcome, r.Why = journal.ProofFailed, fmt.Sprintf("seen after %s, but %s", seconds(r.Seen), why)
	}
	row := s.row()
	var still []string
	if _, err := w.until(fallMost, func(v *status.View) bool {
		still = standing(v, row.Takes)
		return len(still) == 0
	}); err != nil {
		return err
	}
	if len(still) > 0 {
		fail(strings.Join(still, ", "))
		return nil
	}
	if row.Latch != interlock.Hold && !said.latched(w.view) {
		fail("it does not wait for a reset")
		return nil
	}
	r.Outcome, r.Took = journal.ProofPassed, took(row.Takes, s.State)
	if s.State != Heating || !row.Takes.Has(interlock.TakesHeater) && !row.Takes.Has(interlock.TakesContactor) || w.view.Mains.Watts == nil {
		return w.refused(s, r, said)
	}
	off, err := w.until(meterMost, func(v *status.View) bool { return v.Mains.Watts != nil && *v.Mains.Watts < w.Idle })
	if err != nil {
		return err
	}
	if !off {
		fail(fmt.Sprintf("the meter still shows %.0f W, over the %.0f W of a cabinet whose heater is off", *w.view.Mains.Watts, w.Idle))
		return nil
	}
	return w.refused(s, r, said)
}

// standing names what should have gone and has not.
func standing(v *status.View, takes interlock.Effect) (still []string) {
	for _, one := range []struct {
		takes  interlock.Effect
		permit string
		on     bool
	}{
		{interlock.TakesContactor, "contactor", v.Outputs.Contactor || contact(v, "contactor aux") == "closed"},
		{interlock.TakesHeater, "heater", v.Outputs.Heater},
		{interlock.TakesEmission, "emission", emitting(v)},
		{interlock.TakesStart, "start", false},
	} {
		if !takes.Has(one.takes) {
			continue
		}
		if one.on {
			still = append(still, one.permit+" is still on")
		}
		for _, p := range v.Permits {
			if p.Name == one.permit && p.Given {
				still = append(still, one.permit+" is still permitted")
			}
		}
	}
	return still
}

func emitting(v *status.View) bool {
	for _, b := range v.Banks {
		if b.On {
			return true
		}
	}
	return false
}

// took says what was seen to go. In a cabinet at rest that is the permit alone.
func took(takes interlock.Effect, state State) string {
	if state == Heating {
		switch {
		case takes.Has(interlock.TakesContactor):
			return "the contactor was closed and has opened"
		case takes.Has(interlock.TakesHeater):
			return "the heater was on and has gone off"
		}
	}
	for _, one := range []struct {
		takes interlock.Effect
		text  string
	}{
		{interlock.TakesContactor, "contactor"}, {interlock.TakesHeater | interlock.TakesEmission, "heater and emission"},
		{interlock.TakesHeater, "heater"}, {interlock.TakesEmission, "emission"},
	} {
		if takes.Has(one.takes) {
			return "the permit for " + one.text + " has gone; off already"
		}
	}
	return "the permit to start has gone"
}

// refused sees that a reset does nothing while the cause stands (ISO 13849-1, manual
// reset), where the machine takes a reset over the socket.
func (w *Walk) refused(s *Step, r *Result, said *said) error {
	if s.row().Latch == interlock.Hold || !s.Stands(w.view) {
		return nil
	}
	_, _ = w.Watcher.Ask("reset", "") // a refusal is what it should be
	// Where the cause goes away even for a moment, a reset may rightly act.
	went, err := w.until(fallMost, func(v *status.View) bool { return !s.Stands(v) })
	if err != nil {
		return err
	}
	if !went && !said.latched(w.view) {
		r.Outcome, r.Why = journal.ProofFailed, "a reset took it away although its cause still stood"
	}
	return nil
}
