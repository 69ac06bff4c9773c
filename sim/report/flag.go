package report

import (
	"fmt"
	"sort"
)

// flagLanes is how many rows of labels there may be above the strip.
const flagLanes = 5

// flagCrowd is the number of marks beyond which a note without a label crosses
// the phase strip only.
const flagCrowd = 40

// A flag is a mark with the place of its label; lane 0 is the lowest row.
type flag struct {
	Mark
	x     float64
	left  float64
	wide  float64
	words string
	lane  int
	named bool
}

// placeFlags gives every mark its line and, as far as there is room, its label
// in one of a few rows, and returns how many rows it took. Where the rows do not
// suffice, the mildest marks lose their labels first and the earliest last.
func (p *picture) placeFlags(marks []Mark) int {
	for _, m := range marks {
		if m.At < p.from || m.At > p.to {
			continue
		}
		f := flag{Mark: m, x: crisp(p.x(m.At)), words: clean(m.Label)}
		f.words = styleMark.fit(f.words, 300)
		f.wide = styleMark.width(f.words) + 14
		f.left = max(min(f.x-0.5, float64(p.width)-edge/2-f.wide), edge/2)
		f.named = f.words != ""
		p.flags = append(p.flags, f)
	}
	sort.SliceStable(p.flags, func(i, j int) bool { return p.flags[i].At < p.flags[j].At })
	for {
		stuck := p.assignLanes()
		if stuck < 0 {
			break
		}
		p.silence(stuck)
	}
	if p.unnamed > 0 {
		p.notes = append(p.notes, fmt.Sprintf("%d marks have a line but no label here, for want of room.", p.unnamed))
	}
	lanes := 0
	for _, f := range p.flags {
		if f.named {
			lanes = max(lanes, f.lane+1)
		}
	}
	return lanes
}

// assignLanes gives labels their rows, from the last to the first. Labels fly to
// the right of their line, so a label that would cover the line of a later one
// goes above it. Where there is no row above, any row that is free will do, and
// the line passes behind a label. It returns the first flag without a row, or -1.
func (p *picture) assignLanes() int {
	for i := len(p.flags) - 1; i >= 0; i-- {
		f := &p.flags[i]
		if !f.named {
			continue
		}
		f.lane = 0
		var taken [flagLanes]bool
		for j := i + 1; j < len(p.flags); j++ {
			if g := &p.flags[j]; g.named && f.meets(g) {
				f.lane = max(f.lane, g.lane+1)
				taken[g.lane] = true
			}
		}
		for lane := 0; f.lane >= flagLanes; lane++ {
			if lane == flagLanes {
				return i
			}
			if !taken[lane] {
				f.lane = lane
			}
		}
	}
	return -1
}

// meets is true where f's label and that of g, a later flag, overlap.
func (f *flag) meets(g *flag) bool { return g.left <= f.left+f.wide+4 && f.left <= g.left+g.wide+4 }

// silence takes the label from the mildest of the flags that stand in the way
// of flag i, itself included; of equals, from the latest.
func (p *picture) silence(i int) {
	gone := i
	for j := i + 1; j < len(p.flags); j++ {
		g := &p.flags[j]
		if g.named && p.flags[i].meets(g) && g.Severity <= p.flags[gone].Severity {
			gone = j
		}
	}
	p.flags[gone].named = false
	p.unnamed++
}

// drawFlags draws the marks: a trip is a solid line with a filled label, a hold
// a dashed one with a framed label, a note a dotted one with plain words, so
// that they differ without colour too.
func (p *picture) drawFlags(q pen) {
	strip := p.marksBottom()
	for _, f := range p.flags {
		s := stroke{ink: f.Severity.ink(), width: 1, dash: []float64{1.5, 3}}
		switch f.Severity {
		case Trip:
			s.width, s.dash = 2, nil
		case Hold:
			s.width, s.dash = 1.5, []float64{6, 4}
		}
		foot := p.clockTop
		if len(p.flags) > flagCrowd && f.Severity == Note && !f.named && len(p.phases) > 0 {
			foot = p.stripTop + stripPx // lest the curves drown in dots
		}
		q.open(f.sentence())
		q.lines(s, []point{{f.x, f.top(strip)}, {f.x, foot}})
		q.close()
	}
	for _, f := range p.flags {
		if f.named {
			q.open(f.sentence())
			f.drawLabel(q, f.top(strip))
			q.close()
		}
	}
}

// sentence is all there is to say about the mark.
func (f flag) sentence() string {
	words := f.Text
	if clean(words) == "" {
		words = f.Label
	}
	return fmt.Sprintf("%s at %s: %s", f.Severity, Clock(f.At), words)
}

// top is where the flag's line begins.
func (f flag) top(strip float64) float64 {
	if f.named {
		return strip - float64(f.lane+1)*lanePx
	}
	return strip
}

// marksBottom is where the rows of labels end.
func (p *picture) marksBottom() float64 {
	if len(p.names) > 0 {
		return p.stripTop - phaseLanePx
	}
	return p.stripTop
}

func (f flag) drawLabel(q pen, top float64) {
	const high = lanePx - 3
	s := styleMark
	s.ink = f.Severity.ink()
	switch f.Severity {
	case Trip:
		q.rect(f.left, top, f.wide, high, s.ink)
		s.ink = paper
	case Hold:
		q.rect(f.left, top, f.wide, high, s.ink)
		q.rect(f.left+1, top+1, f.wide-2, high-2, paper)
	default:
		q.rect(f.left+1, top, f.wide-1, high, paper)
		s.bold = false
	}
	q.text(f.left+7, top+high-5, s, f.words)
}
