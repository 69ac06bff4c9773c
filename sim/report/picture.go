package report

import (
	"math"
	"time"
)

// Sizes of the sheet in pixels.
const (
	edge        = 16.0 // white around everything
	headPx      = 52.0
	lanePx      = 21.0 // one row of mark labels
	phaseLanePx = 15.0 // names of phases too short for their band
	stripPx     = 22.0
	titlePx     = 26.0 // above the curves of a panel
	plotPx      = 146.0
	betweenPx   = 24.0
	rowPx       = 19.0
	clockPx     = 44.0
	notePx      = 17.0
	namePx      = 15.0 // least distance between names beside the curves
	swatchPx    = 20.0
	leaderPx    = 12.0
)

// The styles of the sheet's words.
var (
	styleHead  = style{size: 19, bold: true, ink: inkText}
	styleSub   = style{size: 13, ink: inkQuiet}
	styleTitle = style{size: 13, bold: true, ink: inkText}
	styleUnit  = style{size: 12, ink: inkQuiet}
	styleName  = style{size: 12, ink: inkText}
	styleTick  = style{size: 11, ink: inkQuiet}
	stylePhase = style{size: 11, ink: inkText, anchor: atMiddle}
	styleMark  = style{size: 11.5, bold: true}
)

// A picture is a sheet with everything placed: what to draw where.
type picture struct {
	sheet         *Sheet
	width, height int
	left, right   float64 // of the area of the curves
	from, to      time.Duration
	ticks         []time.Duration

	flags    []flag
	unnamed  int // marks whose label found no room
	marksTop float64
	phases   []Phase
	names    []placedName // of phases too short for their band
	stripTop float64
	panels   []panel
	outTop   float64
	clockTop float64
	notes    []string
}

// A panel is a Panel with its place.
type panel struct {
	*Panel
	scale       scale
	top, bottom float64
}

// y is the height of a value, kept inside the panel.
func (p panel) y(value float64) float64 {
	return p.bottom - min(max(p.scale.at(value), 0), 1)*(p.bottom-p.top)
}

func newPicture(s *Sheet) *picture {
	p := &picture{sheet: s, width: 1200}
	if s.WidthPx > 0 {
		p.width = min(max(s.WidthPx, 600), 10000)
	}
	p.from, p.to = s.span()
	p.notes = s.Notes()
	for i := range s.Panels {
		p.panels = append(p.panels, panel{Panel: &s.Panels[i], scale: s.Panels[i].scale()})
	}
	p.placeSides()
	p.ticks = clockTicks(p.from, p.to, int(p.right-p.left)/95)
	p.placeRows()
	return p
}

// placeSides leaves as much room left and right as the words there need.
func (p *picture) placeSides() {
	left, right := 34.0, 60.0
	for _, n := range p.panels {
		for _, v := range n.scale.ticks() {
			left = max(left, styleTick.width(n.scale.label(v))+10)
		}
		for _, l := range n.Lines {
			right = max(right, styleName.width(clean(l.Name))+leaderPx+swatchPx+8)
		}
		for _, l := range n.Limits {
			right = max(right, styleName.width(limitWords(n, l))+leaderPx+swatchPx+8)
		}
	}
	for _, o := range p.sheet.Outputs {
		left = max(left, styleName.width(clean(o.Name))+12)
	}
	third := float64(p.width) * 0.22
	p.left = math.Ceil(edge + min(left, third))
	p.right = math.Floor(float64(p.width) - edge - min(right, third))
}

// placeRows stacks the parts of the sheet from the top.
func (p *picture) placeRows() {
	y := edge
	if clean(p.sheet.Title) != "" || clean(p.sheet.Subtitle) != "" {
		y += headPx
	}
	p.marksTop = y
	lanes := p.placeFlags(p.sheet.Marks.List())
	y += float64(lanes) * lanePx
	p.phases = p.visiblePhases()
	if p.placePhaseNames() {
		y += phaseLanePx
	}
	p.stripTop = y
	if len(p.phases) > 0 {
		y += stripPx + 14
	}
	for i := range p.panels {
		n := &p.panels[i]
		n.top = math.Round(y + titlePx)
		names := float64(len(n.Lines)+len(n.Limits)) * namePx
		n.bottom = n.top + max(plotPx, names)
		y = n.bottom + betweenPx
	}
	p.outTop = y
	if len(p.sheet.Outputs) > 0 {
		y += titlePx + float64(len(p.sheet.Outputs))*rowPx + 6
	} else if len(p.panels) > 0 {
		y -= betweenPx - 6
	}
	p.clockTop = y
	y += clockPx + float64(len(p.notes))*notePx + edge/2
	p.height = int(math.Ceil(y))
}

// x is the place of an instant, unbounded.
func (p *picture) x(at time.Duration) float64 {
	return p.left + (at-p.from).Seconds()/(p.to-p.from).Seconds()*(p.right-p.left)
}

// inside is x kept between the sides.
func (p *picture) inside(at time.Duration) float64 { return min(max(p.x(at), p.left), p.right) }

// crisp moves a line of one pixel to where it covers one row of dots.
func crisp(v float64) float64 { return math.Floor(v) + 0.5 }

// draw draws all of it, from the ground up.
func (p *picture) draw(q pen) {
	q.rect(0, 0, float64(p.width), float64(p.height), paper)
	p.drawHead(q)
	p.drawGrid(q)
	p.drawPhases(q)
	for _, n := range p.panels {
		p.drawPanel(q, n)
	}
	p.drawOutputs(q)
	p.drawFlags(q)
	p.drawTitles(q)
	p.drawPhaseNames(q)
	p.drawClock(q)
}

func (p *picture) drawHead(q pen) {
	wide := float64(p.width) - 2*edge
	y := edge + 17
	if t := clean(p.sheet.Title); t != "" {
		q.text(edge, y, styleHead, styleHead.fit(t, wide))
		y += 20
	}
	if t := clean(p.sheet.Subtitle); t != "" {
		q.text(edge, y, styleSub, styleSub.fit(t, wide))
	}
}

// drawGrid draws the light vertical lines of the clock through all panels.
func (p *picture) drawGrid(q pen) {
	var paths [][]point
	for _, at := range p.ticks {
		x := crisp(p.x(at))
		for _, n := range p.panels {
			paths = append(paths, []point{{x, n.top}, {x, n.bottom}})
		}
		if rows := len(p.sheet.Outputs); rows > 0 {
			top := p.outTop + titlePx
			paths = append(paths, []point{{x, top}, {x, top + float64(rows)*rowPx}})
		}
	}
	if len(paths) > 0 {
		q.lines(stroke{ink: inkGrid, width: 1}, paths...)
	}
}

// drawClock draws the one time axis and the remarks under it.
func (p *picture) drawClock(q pen) {
	y := crisp(p.clockTop)
	paths := [][]point{{{p.left, y}, {p.right, y}}}
	s := styleTick
	s.anchor = atMiddle
	for _, at := range p.ticks {
		x := crisp(p.x(at))
		paths = append(paths, []point{{x, y}, {x, y + 5}})
		q.text(x, y+18, s, Clock(at))
	}
	q.lines(stroke{ink: inkEdge, width: 1}, paths...)
	s.anchor = atEnd
	q.text(p.right, y+33, s, "session time, h:mm:ss")
	for i, note := range p.notes {
		q.text(p.left, y+clockPx+float64(i+1)*notePx-6, styleTick, styleTick.fit(note, float64(p.width)-edge-p.left))
	}
}
