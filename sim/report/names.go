package report

import "sort"

// A sideName is a name to the right of the curves, at the height it speaks of.
type sideName struct {
	y      float64
	words  string
	ink    ink
	stroke stroke
	at     float64 // where it was placed
}

// drawNames writes the names beside their curves and limits, moved apart where
// they would overlap, each with a piece of its line and a thin leader.
func (p *picture) drawNames(q pen, n panel, names []sideName) {
	spread(names, n.top+4, n.bottom-2)
	wide := float64(p.width) - edge/2 - p.right - leaderPx - swatchPx - 6
	for _, m := range names {
		x := p.right + leaderPx
		if m.stroke.width > 0 { // otherwise there is no line here to lead to
			q.lines(stroke{ink: inkEdge, width: 1}, []point{{p.right + 2, m.y}, {x - 2, m.at}})
			q.lines(m.stroke, []point{{x, m.at}, {x + swatchPx, m.at}})
		}
		s := styleName
		s.ink = m.ink
		q.text(x+swatchPx+6, m.at+4, s, s.fit(m.words, wide))
	}
}

// spread moves names apart to namePx or, where there is no room for that, to
// even distances, keeping their order and staying between top and bottom.
func spread(names []sideName, top, bottom float64) {
	sort.SliceStable(names, func(i, j int) bool { return names[i].y < names[j].y })
	gap := namePx
	if n := len(names); n > 1 {
		gap = min(gap, (bottom-top)/float64(n-1))
	}
	low := top
	for i := range names {
		names[i].at = max(names[i].y, low)
		low = names[i].at + gap
	}
	high := bottom
	for i := len(names) - 1; i >= 0; i-- {
		names[i].at = min(names[i].at, high)
		high = names[i].at - gap
	}
}
