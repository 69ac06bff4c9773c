package journal

import (
	"fmt"
	"time"

	"bathtender/firmware/health"
	"bathtender/firmware/recipe"
	"bathtender/interlock"
)

// tell records what happened at a tick, as far as it is worth a record of its
// own: holds come and go and are only counted, a phase is no event of its own.
func (b *Book) tell(item *Item, told *Told) {
	e := &told.Event
	switch {
	case e.Sequence.Kind != recipe.NoEvent:
		b.tellSession(item, told)
	case e.Health.Kind != health.NoEvent:
		if b.flood.allows(item.Row.Time) {
			b.add(&Entry{Kind: FindingKind, Text: told.Text})
		}
	case e.Interlock.Kind != interlock.NoEvent:
		b.tellFunction(item, told)
	}
}

func (b *Book) tellFunction(item *Item, told *Told) {
	e := &told.Event.Interlock
	switch e.Kind {
	case interlock.Tripped:
		b.tellTrip(item, told)
	case interlock.WasReset:
		b.add(&Entry{Kind: ResetKind, Text: told.Text, Trip: tripOf(e)})
	case interlock.ResetRefused:
		if b.flood.allows(item.Row.Time) {
			b.add(&Entry{Kind: RefusedKind, Text: told.Text, Trip: tripOf(e)})
		}
	}
	if b.session != nil && (e.Kind == interlock.Tripped || e.Kind == interlock.Holding) {
		b.session.happened(e)
	}
}

func (b *Book) tellTrip(item *Item, told *Told) {
	e := &told.Event.Interlock
	entry := &Entry{Kind: TripKind, Text: told.Text, Trip: tripOf(e)}
	if interlock.Table[e.Function].Latch == interlock.Lockout {
		entry.Kind = LockoutKind
	}
	if b.session != nil {
		entry.Recipe = b.session.fact.Recipe
	}
	entry.Trip.Readings = b.readings(&item.Row)
	if w := b.window; w == nil || !w.prolong(item.Row.Time) {
		if w != nil {
			b.finish(w.recording)
		}
		b.window = nil
		if b.opened { // else its number is not known
			opened, err := b.openWindow(b.store.seq+1, item.Wall, item.Row.Time)
			b.failed(err)
			b.window = opened
		}
	}
	if b.window != nil {
		entry.Trip.Window = b.window.name
	}
	b.add(entry)
}

func (b *Book) tellSession(item *Item, told *Told) {
	e := &told.Event.Sequence
	switch e.Kind {
	case recipe.Started:
		entry := &Entry{Kind: StartKind, Text: told.Text, Recipe: item.Row.Request.Recipe}
		if b.add(entry) {
			b.failed(b.beginSession(entry.Seq, item, entry.Recipe))
		}
	case recipe.Ended:
		if b.session == nil {
			b.add(&Entry{Kind: SessionKind, Text: told.Text})
			return
		}
		s := b.session
		b.session = nil
		fact := s.end(item.Row.Time, e.Reason, item.Estimates, b.cabinet.Banks)
		b.failed(s.trace.write(&item.Row))
		b.finish(s.trace)
		text := fmt.Sprintf("%s; %.1f min, %.1f min of emission, %.0f Wh", told.Text, fact.Minutes, fact.Emission, fact.Energy)
		b.add(&Entry{Kind: SessionKind, Text: text, Recipe: fact.Recipe, Session: fact})
		b.add(&Entry{Kind: BaselinesKind, Text: "what health keeps after this session", Kept: keptOf(b.kept, b.boot, b.noted)})
		b.tidyDue = true
	case recipe.StartRefused:
		if b.flood.allows(item.Row.Time) {
			b.add(&Entry{Kind: RefusedKind, Text: told.Text, Recipe: item.Row.Request.Recipe})
		}
	}
}

// flood keeps a stuck button or a sensor on the edge from filling the journal:
// of refusals and findings only so many are recorded in an hour. Trips, lockouts
// and resets always are; each of them needs a hand in between.
type flood struct {
	begun   time.Duration
	told    int
	untold  int
	started bool
}

const (
	floodSpan = time.Hour
	floodMost = 60
)

func (f *flood) allows(now time.Duration) bool {
	if !f.started {
		f.started, f.begun = true, now
	}
	if f.told >= floodMost {
		f.untold++
		return false
	}
	f.told++
	return true
}

// over says, once the hour is over, what was not recorded in it.
func (f *flood) over(now time.Duration) string {
	if !f.started || now-f.begun < floodSpan {
		return ""
	}
	untold := f.untold
	*f = flood{}
	if untold == 0 {
		return ""
	}
	return fmt.Sprintf("%d further findings and refusals of the last hour were not recorded one by one", untold)
}
