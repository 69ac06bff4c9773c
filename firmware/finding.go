package main

import (
	"bytes"
	"strings"
	"time"

	"bathtender/firmware/journal"
)

// afterMost is how long after a record others are told as what followed.
const afterMost = 10 * time.Minute

// finding is one record out of all, and what followed it.
type finding struct {
	number      uint64
	record      *record
	first, last uint64 // numbers that the journal has
	after       []follower
	over        bool           // what comes is not told any more
	gone        *journal.Entry // the last that was said of the trace's removal
}

// follower is a record that followed, and how long after; known is false where
// nobody can say how long.
type follower struct {
	entry journal.Entry
	after time.Duration
	known bool
}

// take looks at the next record.
func (f *finding) take(e *journal.Entry, line []byte) bool {
	if f.last == 0 {
		f.first = e.Seq
	}
	f.last = e.Seq
	switch {
	case e.Seq == f.number:
		f.record = &record{*e, bytes.Clone(line)}
	case f.record != nil:
		f.follow(e)
		if e.Kind == journal.ThinnedKind {
			// One that is thinned out has a longer name from then on.
			if t := traceOf(&f.record.entry); t != nil && strings.Contains(e.Text, strings.TrimSuffix(t.name, ".csv")) {
				gone := *e
				f.gone = &gone
			}
		}
	}
	return true
}

// follow keeps a record that comes after: those of the same run of the program
// within ten minutes, and the next start where the run has ended by then.
func (f *finding) follow(e *journal.Entry) {
	if f.over {
		return
	}
	base := &f.record.entry
	one := follower{entry: *e, after: e.Mono.Duration() - base.Mono.Duration(), known: true}
	switch {
	case e.Boot != base.Boot:
		// The time between is only known to a clock that may be wrong.
		f.over, one.known = true, false
	case ownersNote(e) || ownersNote(base):
		// Written while the program did not run: it has no time since its start.
		one.after = e.Wall.Sub(base.Wall.Time)
	}
	if one.known && (one.after > afterMost || one.after < 0) {
		f.over = true
		return
	}
	f.after = append(f.after, one)
}

// ownersNote reports whether a record was written while the program did not run.
func ownersNote(e *journal.Entry) bool { return e.Note != nil && e.Mono == 0 }
