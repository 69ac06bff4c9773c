package report

import (
	"fmt"
	"strings"
	"time"
)

// Ramp is the characters of a Sparkline, lowest first, and the one for a gap.
type Ramp struct {
	Steps []rune
	Gap   rune
}

// Blocks needs a terminal that shows block characters; ASCII does not.
var (
	Blocks = Ramp{[]rune("\u2581\u2582\u2583\u2584\u2585\u2586\u2587\u2588"), ' '}
	ASCII  = Ramp{[]rune("_.,-~=+*#"), ' '}
)

// Sparkline draws the track as one line of text for a print-out, between its
// least and greatest value: "20.1 |▁▂▄▆█| 50.3 degC". Each of the columns shows
// the value in its time that is farthest from the column before, so a short
// peak or dip shows. With to not after from, it covers the track. A track
// without readings gives "no reading".
func (k *Track) Sparkline(unit string, columns int, from, to time.Duration, r Ramp) string {
	if k.total.count == 0 {
		return "no reading"
	}
	if to <= from {
		from, to = k.origin, max(k.latest, k.origin+1)
	}
	columns = min(max(columns, 1), 1000)
	cells := make([]bucket, columns)
	low, high, some := 0.0, 0.0, false
	for s := range k.stretches {
		at := s.from
		if s.count > 0 {
			at = s.firstAt
		}
		if at < from || at > to {
			continue
		}
		c := min(int(float64(at-from)/float64(to-from)*float64(columns)), columns-1)
		cells[c] = merged(cells[c], s.bucket)
		if s.count > 0 {
			if !some {
				low, high, some = s.min, s.max, true
			}
			low, high = min(low, s.min), max(high, s.max)
		}
	}
	if !some {
		return "no reading"
	}
	var b strings.Builder
	b.WriteString(reading(low, max(-low, high)) + " |")
	before, begun, missing := 0.0, false, true
	for _, c := range cells {
		if c.count == 0 {
			missing = missing || c.gap()
			if missing {
				b.WriteRune(r.Gap)
				continue
			}
			b.WriteRune(r.step(before, low, high)) // a slow source: as before
			continue
		}
		v := c.min
		if !begun {
			v = c.first
		} else if c.max-before > before-c.min {
			v = c.max
		}
		before, begun, missing = v, true, c.trail
		b.WriteRune(r.step(v, low, high))
	}
	fmt.Fprintf(&b, "| %s %s", reading(high, max(-low, high)), unit)
	return b.String()
}

func (r Ramp) step(v, low, high float64) rune {
	if high <= low {
		return r.Steps[0]
	}
	return r.Steps[min(int((v-low)/(high-low)*float64(len(r.Steps))), len(r.Steps)-1)]
}
