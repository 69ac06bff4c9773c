package supervisor

import "bathtender/hal"

// Still is a supervisor as it was after a tick, with the snapshot that it judged:
// it shares nothing with the one that goes on, so that another goroutine can ask it
// for Status and Explain. It is not ticked.
type Still struct {
	Supervisor
	Snapshot hal.Snapshot
}

// Still copies the supervisor and its last snapshot into a Still. It allocates
// nothing.
func (s *Supervisor) Still(still *Still) {
	still.Supervisor = *s
	work := &still.work
	work.advanced.Snapshot, work.advanced.Estimates = nil, nil
	if s.work.Judged.Snapshot == nil {
		still.Snapshot = hal.Snapshot{}
		return
	}
	still.Snapshot = *s.work.Judged.Snapshot
	work.Judged.Snapshot, work.Judged.Estimates = &still.Snapshot, &still.estimates
}
