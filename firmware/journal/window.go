package journal

import (
	"fmt"
	"time"

	"bathtender/firmware/freeze"
	"bathtender/hal/trace"
)

// WindowFolder and SessionFolder are where the traces of a journal are.
const (
	WindowFolder  = "windows"
	SessionFolder = "sessions"
	fileFolder    = "files"
	inboxFolder   = "inbox"
)

// window is the black-box window that is open.
type window struct {
	*recording
	name      string // without its folder
	from      time.Duration
	until     time.Duration
	syncEvery time.Duration
	synced    time.Duration
}

// A window's rows are made durable often right after the trip, when the power is
// most likely to go, and less often later, to spare the card.
const (
	syncAtFirst = time.Second
	syncLater   = 10 * time.Second
	firstFor    = 10 * time.Second
)

// openWindow begins a window for the trip of a record, with the rows of the time
// before it, the present one among them. It returns nil where no state is known that
// a window could begin with.
func (b *Book) openWindow(seq uint64, wall time.Time, now time.Duration) (*window, error) {
	name := fmt.Sprintf("trip-%010d.csv", seq)
	state := b.ring.start()
	if state == nil {
		return nil, nil
	}
	meta := b.metadata(wall)
	meta.State, meta.Trip = freeze.Text(state), fmt.Sprintf("record %d", seq)
	recording, err := newRecording(b.disk, WindowFolder+"/"+name, b.layout(), meta)
	if err != nil {
		return nil, err
	}
	failed := b.ring.each(recording.write)
	return &window{recording: recording, name: name, from: now, until: now + After, synced: now - syncAtFirst, syncEvery: syncAtFirst}, failed
}

// prolong lets a window show the time after a further trip too. It reports
// whether the window goes on for long enough.
func (w *window) prolong(now time.Duration) bool {
	if now-w.from > windowMost-After {
		return false
	}
	w.until = now + After
	w.syncEvery = syncAtFirst
	return true
}

// due reports whether rows have waited for long enough.
func (w *window) due(now time.Duration) bool {
	if now-w.until+After > firstFor {
		w.syncEvery = syncLater
	}
	return now >= w.until || now-w.synced >= w.syncEvery
}

// layout returns the columns of the journal's traces.
func (b *Book) layout() trace.Layout {
	return trace.Layout{Fans: b.cabinet.Fans, Banks: b.cabinet.Banks, Ages: true, Outputs: true, Events: true}
}

// metadata returns where the journal's traces come from.
func (b *Book) metadata(wall time.Time) trace.Metadata {
	meta := trace.Metadata{
		Origin: b.cabinet.Origin, Program: b.cabinet.Program, Machine: b.cabinet.Machine,
		Tick: b.cabinet.Tick, Created: wall,
	}
	if meta.Origin == trace.Synthetic {
		meta.Seed = b.cabinet.Seed
	}
	for _, f := range b.cabinet.Files[min(1, len(b.cabinet.Files)):] {
		meta.Recipes = append(meta.Recipes, f.Fingerprint)
	}
	return meta
}
