package picture

import (
	"math"
	"time"
)

// The parts of a picture, in its units.
const (
	sheetWidth  = 960.0
	left, right = 78.0, 826.0 // where the diagrams begin and end
	edgeX       = 18.0        // where text begins
	titleSize   = 16.0
	textSize    = 12.0
	tickSize    = 11.0
	nameRow     = 15.0 // least distance of two names
	barRow      = 15.0
	headRow     = 20.0 // above each diagram
	betweenRow  = 12.0 // below each diagram
	lineRow     = 17.0
)

// plan is where everything of a picture is.
type plan struct {
	sheet    *Sheet
	from, to time.Duration
	clock    clock
	titles   []string
	about    []string
	panels   []panel
	silent   []string
	bars     []barOf
	events   []event

	marksTop float64 // the row of the events' numbers, and below it that of the mark
	barsTop  float64
	bottom   float64 // of the diagrams
	height   float64
	remarks  []string
}

// How high the row of the events' numbers is, and that with the row of the mark.
const (
	keysHeight  = 15.0
	marksHeight = 34.0
)

func newPlan(s *Sheet) *plan {
	p := &plan{sheet: s}
	p.titles = wrap(s.Title, titleSize, sheetWidth-2*edgeX)
	p.about = wrap(s.About, textSize, sheetWidth-2*edgeX)
	y := 12 + float64(float64(len(p.titles))*22) + float64(float64(len(p.about))*lineRow) + 8
	if len(s.Rows) == 0 {
		p.remarks = []string{"The trace holds no row."}
		p.bottom, p.height = y, y+2*lineRow
		return p
	}
	p.from, p.to = s.span()
	p.clock = newClock(float64(p.to) - float64(p.from))
	p.panels, p.silent = s.panels()
	p.bars = s.bars()
	p.events = s.events()
	p.marksTop = y
	y += marksHeight
	for i := range p.panels {
		y += headRow
		p.panels[i].top = y
		y += p.panels[i].height + betweenRow
	}
	y += headRow
	p.barsTop = y
	p.bottom = y + float64(float64(len(p.bars))*barRow)
	y = p.bottom + 44 // the ticks of the time, and its name
	p.remark()
	y += float64(float64(len(p.remarks)) * lineRow)
	if len(p.events) > 0 {
		y += 14 + float64(float64(p.eventLines()+1)*lineRow)
	}
	p.height = math.Ceil(y + 10)
	return p
}

// x returns where a time of the rows stands.
func (p *plan) x(at time.Duration) float64 {
	if p.to == p.from {
		return (left + right) / 2
	}
	return left + float64((right-left)*p.share(float64(at)))
}

// share returns where a time in nanoseconds stands between the first row (0) and
// the last (1).
func (p *plan) share(at float64) float64 {
	return (at - float64(p.from)) / (float64(p.to) - float64(p.from))
}

// remark says what is not to be seen.
func (p *plan) remark() {
	if len(p.silent) > 0 {
		p.remarks = append(p.remarks, wrap("Without any reading here: "+list(p.silent)+".", textSize, sheetWidth-2*edgeX)...)
	}
	for i := range p.panels {
		for n := range p.panels[i].curves {
			if len(p.sheet.gaps(&p.panels[i].curves[n])) > 0 {
				p.remarks = append(p.remarks, "A bar at the foot of a diagram: no reading of the curve of its colour.")
				return
			}
		}
	}
}

func list(names []string) string {
	text := ""
	for i, name := range names {
		switch {
		case i > 0 && i == len(names)-1:
			text += " and "
		case i > 0:
			text += ", "
		}
		text += name
	}
	return text
}
