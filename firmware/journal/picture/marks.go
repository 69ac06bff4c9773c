package picture

import "strings"

// drawMarks draws a line across all diagrams at the zero, and a thin one at each
// other event, with its number above.
func (p *plan) drawMarks(d *drawing) {
	top := p.marksTop + keysHeight
	for _, e := range p.events {
		if e.at == 0 {
			continue
		}
		x := p.x(e.row)
		d.open("event", ago(e.at)+": "+strings.Join(e.lines, " "))
		d.line(point{x, top}, point{x, p.bottom}, quiet, 0.8, "1.5 3")
		d.close()
	}
	for _, k := range p.keys() {
		d.words(point{k.x, top - 3}, tickSize, quiet, atMiddle, k.text())
	}
	if p.sheet.Zero < p.from || p.sheet.Zero > p.to {
		return
	}
	x := p.x(p.sheet.Zero)
	d.open("zero", p.sheet.Mark+", the zero of the time")
	d.line(point{x, top}, point{x, p.bottom}, red, 2, "")
	half := width(p.sheet.Mark, textSize)/2 + 6
	mid := min(max(x, edgeX+half), sheetWidth-edgeX-half)
	d.rect(mid-half, top, 2*half, 17, red)
	d.bold(point{mid, top + 12.5}, textSize, paper, atMiddle, p.sheet.Mark)
	d.close()
}

// key is the number above the line of an event, or the numbers of several that
// are too near to one another.
type key struct {
	first, last string
	x, from, to float64 // its place, and those of its first and last line
}

func (k key) text() string {
	if k.first == k.last {
		return k.first
	}
	return k.first + "\u2013" + k.last
}

// keys returns the numbers so that none lies on another.
func (p *plan) keys() []key {
	var keys []key
	for _, e := range p.events {
		if e.at == 0 {
			continue
		}
		x := p.x(e.row)
		keys = append(keys, key{e.key, e.key, x, x, x})
		for n := len(keys); n > 1 && keys[n-2].meets(keys[n-1]); n = len(keys) {
			a, b := keys[n-2], keys[n-1]
			a.last, a.from, a.to = b.last, min(a.from, b.from), max(a.to, b.to)
			a.x = (a.from + a.to) / 2
			keys = append(keys[:n-2], a)
		}
	}
	return keys
}

func (k key) meets(other key) bool {
	apart := other.x - k.x
	return apart < (width(k.text(), tickSize)+width(other.text(), tickSize))/2+3
}
