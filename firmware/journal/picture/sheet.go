package picture

import (
	"io"
	"time"

	"bathtender/hal/trace"
)

// Sheet is a picture to be drawn.
type Sheet struct {
	// Title is what happened, in a sentence; About says where the rows are from.
	Title, About string
	// Zero is the time of the rows that is 0 in the picture, and Mark the word
	// for it: "trip".
	Zero time.Duration
	Mark string
	// Tick is the time from one row to the next. Rows more than three ticks apart
	// do not belong together; 0 where that is not known.
	Tick time.Duration
	// Fans and Banks are how many of them the rows are of.
	Fans, Banks int
	// Rows are the rows in the order in which they were written.
	Rows []trace.Row
}

// Write draws the sheet as an SVG. The error is that of w; a sheet without rows
// is drawn as one that says so.
func (s *Sheet) Write(w io.Writer) error {
	p := newPlan(s)
	d := &drawing{}
	p.draw(d)
	_, err := w.Write(d.text.Bytes())
	return err
}

// follows reports whether the row at place i follows on the one before it.
func (s *Sheet) follows(i int) bool {
	if i == 0 {
		return false
	}
	step := s.Rows[i].Time - s.Rows[i-1].Time
	return step >= 0 && (s.Tick <= 0 || step <= 3*s.Tick)
}

// span returns the time that the rows cover.
func (s *Sheet) span() (from, to time.Duration) {
	for i := range s.Rows {
		at := s.Rows[i].Time
		if i == 0 {
			from, to = at, at
		}
		from, to = min(from, at), max(to, at)
	}
	return from, to
}
