package journal

import (
	"fmt"
	"math"
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/recipe"
	"bathtender/hal"
	"bathtender/hal/trace"
	"bathtender/interlock"
)

// session is the session that runs: its sums and its coarse trace.
type session struct {
	fact    SessionFact
	began   time.Duration
	energy  float64 // J
	emitted time.Duration
	last    time.Duration
	trace   *recording
	rowAt   time.Duration // when the next row of the trace is due
	synced  time.Duration
}

const (
	// sessionRowEvery is the time from one row of a session's trace to the next.
	sessionRowEvery = 5 * time.Second
	// sessionSyncEvery is how often these are made durable.
	sessionSyncEvery = 5 * time.Minute
	// gapMost bounds what one row can stand for where others were lost.
	gapMost = time.Second
)

// SessionName returns the name, in SessionFolder, of the trace of the session that
// began with a record.
func SessionName(seq uint64) string { return fmt.Sprintf("session-%010d.csv", seq) }

// beginSession opens the books of a session.
func (b *Book) beginSession(seq uint64, item *Item, recipeName string) error {
	now := item.Row.Time
	s := &session{fact: SessionFact{Recipe: recipeName, Began: Seconds(now)}, began: now, last: now, rowAt: now, synced: now}
	s.fact.Trace = SessionName(seq)
	b.session = s
	meta := b.metadata(item.Wall)
	meta.Tick = sessionRowEvery
	var err error
	s.trace, err = newRecording(b.disk, SessionFolder+"/"+s.fact.Trace, b.layout(), meta)
	return err
}

// count adds a tick to the session's sums.
func (s *session) count(row *trace.Row) {
	elapsed := min(max(row.Time-s.last, 0), gapMost)
	s.last = row.Time
	if row.Meter.Watts.Valid {
		s.energy += float64(float64(row.Meter.Watts.Value) / float64(physic.Watt) * elapsed.Seconds())
	}
	if row.Outputs.Banks != 0 {
		s.emitted += elapsed
	}
	for _, probe := range row.Probes[:hal.Cabinet] {
		if probe.Valid {
			s.fact.Hottest = max(s.fact.Hottest, round(float64(probe.Value-physic.ZeroCelsius)/float64(physic.Kelvin), 2))
		}
	}
}

// due reports whether a row of the trace is due. Ticks with events always are.
func (s *session) due(row *trace.Row) bool {
	if row.Time < s.rowAt && row.Events == "" {
		return false
	}
	s.rowAt = row.Time + sessionRowEvery
	return true
}

func (s *session) happened(e *interlock.Event) {
	counts := &s.fact.Trips
	if e.Kind == interlock.Holding {
		counts = &s.fact.Holds
	}
	if *counts == nil {
		*counts = map[string]int{}
	}
	(*counts)[e.Name()]++
}

// end returns what the session was.
func (s *session) end(now time.Duration, reason recipe.Reason, estimates *interlock.Estimates, banks int) *SessionFact {
	f := s.fact
	f.Outcome = reason.String()
	f.Minutes = round((now - s.began).Minutes(), 2)
	f.Emission = round(s.emitted.Minutes(), 2)
	f.Energy = round(s.energy/3600, 1)
	if estimates == nil {
		return &f
	}
	if estimates.Volume.Valid {
		f.Litres = round(float64(estimates.Volume.Value)/float64(hal.Litre), 2)
	}
	for i := range banks {
		if watts := estimates.Bank[i]; watts.Valid {
			f.Banks = append(f.Banks, BankWatts{
				Bank:     i + 1,
				Watts:    round(float64(watts.Value)/float64(physic.Watt), 2),
				Baseline: round(float64(estimates.Baseline[i])/float64(physic.Watt), 2),
			})
		}
	}
	return &f
}

func round(x float64, places int) float64 {
	scale := math.Pow10(places)
	return math.Round(x*scale) / scale
}
