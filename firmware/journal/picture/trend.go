package picture

import (
	"time"
)

// Trend is a small picture of the readings of one kind, to be put into a narrow
// page. Colours come from the page: curves have the classes ink1, ink2 and so on,
// everything else is drawn in the colour of the text around it. Curves are told
// apart by their dashes.
type Trend struct {
	Title string // with the unit
	SVG   string // an element; everything in it is escaped
}

// The parts of a trend, in its units: as wide as the page of a small phone.
const (
	trendWidth  = 320.0
	trendHeight = 150.0
	trendLeft   = 44.0
	trendRight  = trendWidth - 8
	trendFoot   = trendHeight - 24
	trendTick   = 11.0
)

// Trends returns a small picture for each kind of reading that there is. A sheet
// without rows has none.
func (s *Sheet) Trends() []Trend {
	if len(s.Rows) == 0 {
		return nil
	}
	p := &plan{sheet: s}
	p.from, p.to = s.span()
	p.clock = newClock(2 * (float64(p.to) - float64(p.from))) // half as many ticks
	panels, _ := s.panels()
	var list []Trend
	for i := range panels {
		list = append(list, Trend{Title: panels[i].title, SVG: p.trend(&panels[i])})
	}
	return list
}

func (p *plan) trend(n *panel) string {
	n.top = 8 + float64(float64((len(n.curves)+1)/2)*nameRow)
	n.height = trendFoot - n.top
	d := &drawing{}
	d.put(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" role="img" class="trend"><title>%s</title>`,
		px(trendWidth), px(trendHeight), escape(n.title))
	for i := n.scale.first; i <= n.scale.last; i++ {
		y := n.y(n.scale.tick(i))
		d.put(`<line x1="%s" y1="%s" x2="%s" y2="%s" class="grid"/>`, px(trendLeft), px(y), px(trendRight), px(y))
		d.words(point{trendLeft - 5, y + 4}, trendTick, "currentColor", atEnd, n.scale.label(i))
	}
	zero := float64(p.sheet.Zero)
	for _, tick := range p.clock.ticks(float64(p.from)-zero, float64(p.to)-zero) {
		x := trendX(p, time.Duration(float64(tick*float64(p.clock.unit))+zero))
		d.put(`<line x1="%s" y1="%s" x2="%s" y2="%s" class="grid"/>`, px(x), px(n.top), px(x), px(trendFoot))
		d.words(point{x, trendFoot + 13}, trendTick, "currentColor", atMiddle, decimal(tick, p.clock.places))
	}
	d.words(point{trendRight, trendHeight - 1}, trendTick, "currentColor", atEnd, p.clock.name+" from the "+p.sheet.Mark)
	for i := range n.curves {
		p.trendCurve(d, n, i)
	}
	d.text.WriteString("</svg>")
	return d.text.String()
}

// trendCurve draws a curve, its name above the diagram, and a bar at the foot
// where it has no reading.
func (p *plan) trendCurve(d *drawing, n *panel, i int) {
	c := &n.curves[i]
	d.put(`<g class="ink%d">`, i%len(inks)+1)
	at := point{trendLeft + float64(float64(i%2)*140), 8 + float64(float64(i/2)*nameRow)}
	d.line(point{at.x, at.y}, point{at.x + 26, at.y}, "currentColor", 2, c.ink.dash)
	d.words(point{at.x + 31, at.y + 4}, trendTick, "currentColor", atStart, c.name)
	for _, points := range p.sheet.stretches(c, func(t time.Duration) float64 { return trendX(p, t) }, n.y) {
		d.curve(points, ink{"currentColor", c.ink.dash})
	}
	for _, gap := range p.sheet.gaps(c) {
		from := trendX(p, gap.from)
		d.rect(from, trendFoot-3, max(trendX(p, gap.to)-from, 1), 3, "currentColor")
	}
	d.close()
}

func trendX(p *plan, at time.Duration) float64 {
	if p.to == p.from {
		return (trendLeft + trendRight) / 2
	}
	return trendLeft + float64((trendRight-trendLeft)*p.share(float64(at)))
}
