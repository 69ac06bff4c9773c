package report

// phasesCrowd is the number of phases beyond which the strip alone is drawn,
// without seams through the panels and without names outside the bands.
const phasesCrowd = 40

// drawPhases draws the strip of coloured bands above the panels, and a faint
// line through the panels where one phase gives way to the next.
func (p *picture) drawPhases(q pen) {
	if len(p.phases) == 0 {
		return
	}
	tint := tints(p.sheet.Phases.List())
	var seams [][]point
	for i, f := range p.phases {
		a, b := p.inside(f.From), p.inside(f.To)
		name := clean(f.Name)
		if name != "" {
			q.open(name + ", " + Clock(f.From) + " to " + Clock(f.To))
			q.rect(a, p.stripTop, max(b-a, 1), stripPx, tint[f.Name])
			q.close()
		}
		if i > 0 && a > p.left && len(p.phases) <= phasesCrowd {
			x := crisp(a)
			for _, n := range p.panels {
				seams = append(seams, []point{{x, n.top}, {x, n.bottom}})
			}
		}
	}
	if len(seams) > 0 {
		q.lines(stroke{ink: inkEdge, width: 1, dash: []float64{1, 3}}, seams...)
	}
}

// drawPhaseNames writes the names over the lines of the marks, on a ground of
// their own.
func (p *picture) drawPhaseNames(q pen) {
	tint := tints(p.sheet.Phases.List())
	for _, f := range p.phases {
		a, b := p.inside(f.From), p.inside(f.To)
		if name := clean(f.Name); name != "" && styleWide(name, b-a) {
			wide := stylePhase.width(name) + 6
			q.rect((a+b-wide)/2, p.stripTop, wide, stripPx, tint[f.Name])
			q.text((a+b)/2, p.stripTop+stripPx-7, stylePhase, name)
		}
	}
	for _, n := range p.names {
		y := p.stripTop - 5
		q.rect(n.left-2, y-10, stylePhase.width(n.words)+4, 13, paper)
		q.text(n.left, y, style{size: stylePhase.size, ink: inkQuiet}, n.words)
		q.lines(stroke{ink: inkEdge, width: 1}, []point{{crisp(n.x), y + 2}, {crisp(n.x), p.stripTop}})
	}
}

func styleWide(name string, wide float64) bool { return stylePhase.width(name)+8 <= wide }

// visiblePhases are those that reach into the clock.
func (p *picture) visiblePhases() []Phase {
	var out []Phase
	for _, f := range p.sheet.Phases.List() {
		if f.To > p.from && f.From < p.to {
			out = append(out, f)
		}
	}
	return out
}

// A placedName is the name of a phase that is too short to hold it.
type placedName struct {
	words   string
	x, left float64 // of the band's middle, of the words
}

// placePhaseNames puts the names that their bands cannot hold just above the
// strip, as far as they fit beside each other, and says whether there are any.
// The page lists all of them.
func (p *picture) placePhaseNames() bool {
	if len(p.phases) > phasesCrowd {
		return false
	}
	free := 0.0
	for _, f := range p.phases {
		a, b := p.inside(f.From), p.inside(f.To)
		name := clean(f.Name)
		if name == "" || styleWide(name, b-a) {
			continue
		}
		wide := stylePhase.width(name)
		left := max((a+b)/2-wide/2, edge)
		left = min(left, float64(p.width)-edge-wide)
		if left < free {
			continue
		}
		p.names = append(p.names, placedName{name, (a + b) / 2, left})
		free = left + wide + 8
	}
	return len(p.names) > 0
}
