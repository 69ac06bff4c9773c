package report

import "time"

// drawOutputs draws a row of bars for each output, with the time on beside it.
func (p *picture) drawOutputs(q pen) {
	if len(p.sheet.Outputs) == 0 {
		return
	}
	q.open("Outputs")
	q.text(p.right+leaderPx, p.outTop+titlePx-10, styleTick, "time on")
	name := styleName
	name.anchor = atEnd
	for i, o := range p.sheet.Outputs {
		y := p.outTop + titlePx + float64(i)*rowPx
		words := clean(o.Name)
		q.open(words)
		q.text(p.left-8, y+rowPx-6, name, name.fit(words, p.left-8-edge/2))
		q.rect(p.left, y+2, p.right-p.left, rowPx-5, inkRow)
		if o.Bars != nil {
			for _, s := range p.merge(o.Bars.spans) {
				q.rect(s.left, y+2, s.right-s.left, rowPx-5, inkBar)
			}
			q.text(p.right+leaderPx, y+rowPx-6, styleTick, timeOn(o.Bars))
		}
		q.close()
	}
	q.close()
}

// timeOn writes the time on to the second, or to a tenth where it is short.
func timeOn(b *Bars) string {
	if t := b.OnTime(); t >= time.Minute {
		return Clock(t.Round(time.Second))
	}
	return Clock(b.OnTime())
}

// A run is a bar's place from side to side, in pixels.
type run struct{ left, right float64 }

// merge turns intervals into bars at least one pixel wide, joining those that
// touch on the screen.
func (p *picture) merge(spans []span) []run {
	var out []run
	for _, s := range spans {
		if s.to < p.from || s.from > p.to {
			continue
		}
		a, b := p.inside(s.from), p.inside(s.to)
		b = max(b, a+1)
		if n := len(out); n > 0 && a-out[n-1].right < 0.3 {
			out[n-1].right = max(out[n-1].right, b)
			continue
		}
		out = append(out, run{a, b})
	}
	return out
}
