package journal

import (
	"fmt"
	"time"

	"bathtender/firmware/fileerror"
	"bathtender/hal/quantity"
)

// settle brings to the disk what is due: what protects first, then records, then
// traces. A disk that has failed is left alone for a while.
func (b *Book) settle(now time.Duration) {
	if b.failure != nil && now < b.retryAt && now > b.retryAt-2*retryEvery {
		return
	}
	if err := b.put(now); err != nil {
		b.failure, b.retryAt = fmt.Errorf("the journal cannot be written: %w", err), now+retryEvery
		return
	}
	b.failure = nil
	switch {
	case b.lost == (Lost{}):
	case b.lost != b.losing: // it may not be over yet: one record for all of it
		b.losing, b.losingAt = b.lost, now
	case now-b.losingAt >= lostAfter || now < b.losingAt:
		b.tellLost()
	}
}

// lostAfter is how long nothing more must be lost before it is told.
const lostAfter = 2 * time.Second

// tellLost records what was lost. Until that record is durable a start is
// withheld.
func (b *Book) tellLost() {
	lost := b.lost
	b.lost = Lost{}
	entry := &Entry{Kind: LostKind, Lost: &lost,
		Text: fmt.Sprintf("%s and %s could not be recorded: %s", quantity.Count(lost.Events, "event"), quantity.Count(lost.Rows, "row"), lost.Why)}
	if !b.add(entry) {
		b.lost = lost // at the next settling
		return
	}
	if err := b.store.flush(); err != nil {
		b.failure = fmt.Errorf("the journal cannot be written: %w", err)
	}
}

func (b *Book) put(now time.Duration) error {
	shut := b.open()
	if b.keptDue {
		if err := b.putKept(); err != nil {
			return err
		}
	}
	if shut != nil {
		return shut
	}
	if err := b.store.flush(); err != nil {
		return err
	}
	if err := b.putTraces(now); err != nil {
		return err
	}
	if err := b.look(now); err != nil {
		b.store.shut()
		return err
	}
	if b.tidyDue && b.window == nil && now-b.tidied >= time.Second {
		b.tidied = now
		if err := b.tidy(); err != nil {
			return err
		}
	}
	if b.filesDue {
		if err := b.keepFiles(); err != nil {
			return err
		}
	}
	return b.store.flush()
}

// putKept stores what was kept. Until it is stored nothing may start that goes
// by it.
func (b *Book) putKept() error {
	line, err := appendLine(nil, keptOf(b.kept, b.boot, b.noted))
	if err != nil {
		return err
	}
	if err := b.disk.Replace(keptName, line); err != nil {
		return fmt.Errorf("%s cannot be stored: %w", keptName, fileerror.Cause(err))
	}
	b.keptDue, b.protectsDue, b.unreadable = false, false, false
	return nil
}

func (b *Book) putTraces(now time.Duration) error {
	if w := b.window; w != nil && w.due(now) {
		if err := w.flush(); err != nil {
			return err
		}
		w.synced = now
		if now >= w.until {
			w.close()
			b.window = nil
		}
	}
	if s := b.session; s != nil && now-s.synced >= sessionSyncEvery {
		if err := s.trace.flush(); err != nil {
			return err
		}
		s.synced = now
	}
	for len(b.closing) > 0 {
		if err := b.closing[0].flush(); err != nil {
			return err
		}
		b.closing[0].close()
		b.closing = b.closing[1:]
	}
	return nil
}

// Close ends the run in order: it records that, and makes all durable. The error
// says what could not be.
func (b *Book) Close(wall time.Time) error {
	b.now.Wall = wall
	if b.window != nil {
		b.finish(b.window.recording)
		b.window = nil
	}
	if b.session != nil {
		b.finish(b.session.trace)
	}
	if b.lost != (Lost{}) {
		b.tellLost()
	}
	b.add(&Entry{Kind: ShutdownKind, Text: "the program ends in order"})
	b.retryAt = 0
	err := b.put(b.now.Row.Time)
	b.store.shut()
	for _, r := range b.closing {
		r.close()
	}
	return err
}
