package report

import "time"

// marksMax bounds the marks that one Marks keeps.
const marksMax = 200

// Severity orders what happened by how much it took away.
type Severity int8

// The severities, mildest first. The zero value is a note.
const (
	Note Severity = iota
	Hold
	Trip
)

// String is the word for the severity: note, hold or trip.
func (s Severity) String() string {
	switch s {
	case Hold:
		return "hold"
	case Trip:
		return "trip"
	}
	return "note"
}

// A Mark is an instant that is drawn as a line through all panels.
type Mark struct {
	// At is the session time.
	At time.Duration
	// Label is the short form at the head of the line, a few words.
	Label string
	// Text is the whole sentence, shown where there is room for it; it may be
	// empty.
	Text string
	// Severity sets how strongly it is drawn.
	Severity Severity
}

// Marks is a bounded list of marks. When its 200 places are taken, a worse mark
// takes the place of the newest of the mildest ones; a mark is never dropped
// for a milder one. Dropped says how many were left out.
//
// Make one with NewMarks.
type Marks struct {
	list    []Mark
	dropped int64
}

// NewMarks returns an empty list of marks with all the memory it will need.
func NewMarks() *Marks { return &Marks{list: make([]Mark, 0, marksMax)} }

// Add takes one mark, in the order of time.
func (m *Marks) Add(mark Mark) {
	if len(m.list) == marksMax {
		m.dropped++
		mildest := len(m.list) - 1
		for i := mildest - 1; i >= 0; i-- {
			if m.list[i].Severity < m.list[mildest].Severity {
				mildest = i
			}
		}
		if mark.Severity <= m.list[mildest].Severity {
			return
		}
		m.list = append(m.list[:mildest], m.list[mildest+1:]...)
	}
	m.list = append(m.list, mark)
}

// List is the marks in the order they were added. The slice is the caller's own.
func (m *Marks) List() []Mark {
	if m == nil {
		return nil
	}
	return append([]Mark(nil), m.list...)
}

// Dropped is how many marks were left out because the list was full.
func (m *Marks) Dropped() int64 { return m.dropped }
