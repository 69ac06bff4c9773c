package report

import "time"

// A Report is the page of one session: the sheet with what a reader needs
// around it.
type Report struct {
	// Title and Subtitle head the page, and the pictures where the sheet has
	// no title of its own.
	Title, Subtitle string
	// Facts are the summary table, in order.
	Facts []Fact
	Sheet Sheet
	// Events are the timeline in words, in order.
	Events []Event
	// Cautions stand first on the page: what the reader must not rely on.
	Cautions []string
}

// A Fact is one row of the summary.
type Fact struct{ Name, Value string }

// An Event is one sentence of the timeline.
type Event struct {
	// At is the session time.
	At       time.Duration
	Text     string
	Severity Severity
}

// headed is the sheet with a title, for a picture that stands alone.
func (r *Report) headed() *Sheet {
	s := r.Sheet
	if s.Title == "" && s.Subtitle == "" {
		s.Title, s.Subtitle = r.Title, r.Subtitle
	}
	return &s
}

// bare is the sheet without visible title, for the page, which has one already.
func (r *Report) bare() *Sheet {
	s := r.Sheet
	s.Title, s.Subtitle = "", ""
	return &s
}
