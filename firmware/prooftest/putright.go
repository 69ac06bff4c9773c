package prooftest

import (
	"time"

	"bathtender/firmware/journal"
	"bathtender/firmware/status"
)

// resetMost is how often a reset is tried: a probe that was cold, or two that were
// apart, take a while to look well.
const resetMost = 12

// putRight has the owner undo what was done, and resets. A function that cannot be
// reset once its cause has gone has failed.
func (w *Walk) putRight(s *Step, r *Result) error {
	for {
		switch w.Talk.Ask("   Now " + s.PutRight + ". Is it done?") {
		case None:
			return errEnded
		case No:
			continue
		}
		well, err := w.until(steadyMost, func(v *status.View) bool { return !s.Stands(v) })
		if err != nil {
			return err
		}
		if well {
			break
		}
		w.Talk.Say("   The cabinet still shows it.")
	}
	for range resetMost {
		if len(w.view.Latched) == 0 {
			return nil
		}
		cleared, err := w.reset()
		if err != nil || cleared {
			return err
		}
		if _, err := w.until(5*time.Second, func(*status.View) bool { return false }); err != nil {
			return err
		}
	}
	why := "it was put right, and cannot be reset: " + latches(w.view)
	if r.Outcome == journal.ProofFailed {
		why = r.Why + "; " + why
	}
	r.Outcome, r.Why = journal.ProofFailed, why
	return nil
}
