package report

import (
	"fmt"
	"time"
)

// A Sheet is one picture: panels of curves over one shared session clock, with
// the phases above, the outputs below and the marks through all of it. The zero
// Sheet is valid and draws an empty clock.
type Sheet struct {
	// Title and Subtitle head the picture; both may be empty.
	Title, Subtitle string
	// Panels are drawn from the top.
	Panels []Panel
	// Phases is the strip above the panels; nil for none.
	Phases *Phases
	// Outputs are rows of bars under the panels.
	Outputs []Output
	// Marks are the vertical lines; nil for none.
	Marks *Marks
	// Start and End bound the clock. When End is not after Start, the clock
	// covers all that was fed.
	Start, End time.Duration
	// WidthPx is the width of the picture, at least 600; 0 is 1200.
	WidthPx int
	// PNGScale is how many dots of the PNG one pixel gets, 1 to 4; 0 is 1.
	PNGScale int
}

// A Panel is one diagram with its own vertical scale.
type Panel struct {
	Title string
	// Unit is written beside the title as it is given.
	Unit  string
	Lines []Line
	// Limits are dashed horizontal lines. One far outside the curves is shown
	// at the edge with an arrow, so that it does not flatten them.
	Limits []Limit
	// FromZero makes the scale contain 0.
	FromZero bool
}

// A Line is one named curve. Colour and dashes follow from its place in the
// panel, so the first is always drawn alike.
type Line struct {
	Name  string
	Track *Track
}

// A Limit is a horizontal line at a fixed value in the panel's unit.
type Limit struct {
	// Label is written beside the line, with the number if that is wanted.
	Label string
	Value float64
}

// An Output is one row of bars.
type Output struct {
	Name string
	Bars *Bars
}

// span is the clock from its first to its last instant, never empty.
func (s *Sheet) span() (from, to time.Duration) {
	if s.End > s.Start {
		return s.Start, s.End
	}
	var u union
	for _, p := range s.Panels {
		for _, l := range p.Lines {
			if l.Track != nil && l.Track.begun {
				u.add(l.Track.origin, l.Track.latest)
			}
		}
	}
	for _, o := range s.Outputs {
		if o.Bars != nil && o.Bars.begun {
			u.add(o.Bars.origin, o.Bars.latest)
		}
	}
	for _, f := range s.Phases.List() {
		u.add(f.From, f.To)
	}
	for _, m := range s.Marks.List() {
		u.add(m.At, m.At)
	}
	if u.to <= u.from {
		u.to = u.from + time.Minute
	}
	return u.from, u.to
}

// A union is the smallest interval over those added.
type union struct {
	from, to time.Duration
	begun    bool
}

func (u *union) add(from, to time.Duration) {
	if !u.begun {
		u.from, u.to, u.begun = from, to, true
	}
	u.from, u.to = min(u.from, from), max(u.to, to)
}

// Notes are the sentences about what the picture leaves out because a bounded
// list was full; usually there are none.
func (s *Sheet) Notes() []string {
	var notes []string
	for _, o := range s.Outputs {
		if o.Bars == nil {
			continue
		}
		if n, longest := o.Bars.Joined(); n > 0 {
			notes = append(notes, fmt.Sprintf("%s: %d pauses of up to %s are drawn as on; the time on is exact.",
				clean(o.Name), n, Clock(longest)))
		}
	}
	if s.Phases != nil {
		if n, longest := s.Phases.Absorbed(); n > 0 {
			notes = append(notes, fmt.Sprintf("%d phases of up to %s are drawn as part of the phase before.", n, Clock(longest)))
		}
	}
	if s.Marks != nil && s.Marks.Dropped() > 0 {
		notes = append(notes, fmt.Sprintf("%d marks are left out: the list was full at %d, and no trip gave way to a milder mark.",
			s.Marks.Dropped(), marksMax))
	}
	return notes
}
