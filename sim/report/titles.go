package report

import "strings"

// drawTitles writes the titles of the panels over the lines of the marks, on a
// white ground, so that a line never runs through the words.
func (p *picture) drawTitles(q pen) {
	wide := p.right - edge
	title := func(top float64, words, unit string) {
		if words == "" && unit == "" {
			return
		}
		words = styleTitle.fit(words, wide*0.6)
		unit = styleUnit.fit(unit, wide*0.2)
		y, x := top-10, edge+styleTitle.width(words)+7
		q.rect(edge-4, y-12, x-edge+styleUnit.width(unit)+8, 16, paper)
		q.text(edge, y, styleTitle, words)
		if unit != "" {
			q.text(x, y, styleUnit, unit)
		}
	}
	remark := styleTick
	remark.anchor = atEnd
	for _, n := range p.panels {
		title(n.top, clean(n.Title), clean(n.Unit))
		if words := n.missing(); words != "" {
			words = remark.fit(words, (p.right-p.left)*0.55)
			wide := remark.width(words) + 8
			q.rect(p.right-wide+4, n.top-22, wide, 16, paper)
			q.text(p.right, n.top-10, remark, words)
		}
	}
	if len(p.sheet.Outputs) > 0 {
		title(p.outTop+titlePx, "Outputs", "")
	}
}

// missing explains the bars at the foot of the panel, if there are any.
func (p panel) missing() string {
	var names []string
	for _, l := range p.Lines {
		if l.Track != nil && l.Track.Gaps() > 0 {
			names = append(names, clean(l.Name))
		}
	}
	if names == nil {
		return ""
	}
	return "bar at the foot: no reading from " + strings.Join(names, ", ")
}
