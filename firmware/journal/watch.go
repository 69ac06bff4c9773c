package journal

import (
	"strings"
	"time"

	"bathtender/firmware/health"
	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/hal/trace"
	"bathtender/interlock"
)

// Item is one tick, as it is put into a Book.
type Item struct {
	Wall time.Time
	Row  trace.Row
	Told []Told
	// Kept is what must be stored, at a tick that has changed it.
	Kept *supervisor.Kept
	// State is what the supervisor remembered before this tick, now and then.
	State *supervisor.State
	// Cut says that the row does not follow on the one before.
	Cut bool
	// Liquid says that the supervisor has been told of the owner's notes.
	Liquid bool
	// Missed counts what there was no room for before this item; Sent is the
	// Recorder's count of changes to what protects.
	Missed Lost
	Sent   uint64
	// Estimates go with a tick at which something happened.
	Estimates *interlock.Estimates
}

// Told is what happened at a tick, and its sentence.
type Told struct {
	Event supervisor.Event
	Text  string
}

// Watch makes items of a supervisor's ticks. It is the loop's part of the
// journal: it allocates only where something happened, and every ten seconds.
type Watch struct {
	supervisor *supervisor.Supervisor
	kept       supervisor.Kept
	state      *supervisor.State
	stateAt    time.Duration
	cut        bool
	liquid     bool
	due        *supervisor.Kept // from an item that was not taken
}

// NewWatch returns a watch over a supervisor, before its first tick.
func NewWatch(s *supervisor.Supervisor) *Watch {
	w := &Watch{supervisor: s, kept: s.Kept()}
	w.Cut()
	return w
}

// Cut notes that the next row does not follow on the last one that was recorded:
// a row was lost, or the supervisor was told something between two ticks.
func (w *Watch) Cut() {
	state := w.supervisor.State()
	w.state, w.cut = &state, true
}

// miss notes that an item was not taken. What it brought to store goes with the
// next one.
func (w *Watch) miss(kept *supervisor.Kept, liquid bool) {
	if kept != nil {
		w.due = kept
	}
	w.liquid = w.liquid || liquid
	w.Cut()
}

// SetLiquid tells the supervisor what its owner has done to the liquid.
func (w *Watch) SetLiquid(liquid health.LiquidAge) {
	w.supervisor.SetLiquid(liquid)
	w.kept.Record.Liquid = liquid
	w.liquid = true
	w.Cut()
}

// Tick returns the item of a tick, right after it.
func (w *Watch) Tick(wall time.Time, snapshot *hal.Snapshot, request hal.Request, out hal.Outputs, events []supervisor.Event) Item {
	item := Item{
		Wall: wall, State: w.state, Cut: w.cut, Liquid: w.liquid,
		Row: trace.Row{Snapshot: *snapshot, Request: request, Outputs: out, HasOutputs: true},
	}
	w.state, w.cut, w.liquid = nil, false, false
	if len(events) > 0 {
		w.tell(&item, events)
	}
	if item.Kept == nil {
		item.Kept = w.due
	}
	w.due = nil
	if item.State != nil {
		w.stateAt = snapshot.Time
	} else if snapshot.Time-w.stateAt >= stateEvery-time.Second/2 || snapshot.Time < w.stateAt {
		state := w.supervisor.State()
		w.state = &state
	}
	w.setToday(Day(wall))
	return item
}

// setToday tells the supervisor of a new day: a program that runs for weeks must
// count the days of its liquid. A wall clock that cannot be right tells nothing.
func (w *Watch) setToday(day int32) {
	if day == 0 || day == w.kept.Today {
		return
	}
	w.supervisor.SetToday(day)
	w.kept.Today = day
	w.Cut()
}

func (w *Watch) tell(item *Item, events []supervisor.Event) {
	texts := make([]string, len(events))
	item.Told = make([]Told, len(events))
	for i, e := range events {
		texts[i] = w.supervisor.Sentence(e)
		item.Told[i] = Told{e, texts[i]}
	}
	item.Row.Events = strings.Join(texts, "; ")
	estimates := w.supervisor.Status().Estimates
	item.Estimates = &estimates
	if kept := w.supervisor.Kept(); kept != w.kept {
		w.kept = kept
		item.Kept = &kept
	}
}

// Protects reports whether two kept states differ in what the supervisor must
// not forget: its lockouts and the banks that are out of service.
func protects(a, b *supervisor.Kept) bool {
	return a.Lockouts != b.Lockouts || a.Record.OutOfService != b.Record.OutOfService
}
