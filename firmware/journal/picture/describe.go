package picture

import (
	"math"
	"strconv"
	"strings"
	"time"

	"bathtender/hal/trace"
)

// describe tells the picture to whoever does not see it.
func (p *plan) describe() string {
	rows := p.sheet.Rows
	if len(rows) == 0 {
		return p.sheet.About + ". The trace holds no row."
	}
	zero := p.sheet.Zero
	text := []string{p.sheet.About + ".", strconv.Itoa(len(rows)) + " rows from " + ago(since(p.from, zero)) + " to " + ago(since(p.to, zero)) +
		", seen from the " + p.sheet.Mark + "."}
	for i := range p.panels {
		for n := range p.panels[i].curves {
			c := &p.panels[i].curves[n]
			low, high := c.extent(rows)
			text = append(text, "The "+c.name+" ("+p.panels[i].title+") from "+decimal(low, 1)+" to "+decimal(high, 1)+".")
		}
	}
	for _, b := range p.bars {
		text = append(text, "Commanded on, "+b.name+": "+onText(p.sheet.spans(b.on), zero)+".")
	}
	return strings.Join(append(text, p.remarks...), " ")
}

// extent returns the least and the greatest reading of a curve.
func (c *curve) extent(rows []trace.Row) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for i := range rows {
		if v, valid := c.value(&rows[i]); valid {
			low, high = math.Min(low, v), math.Max(high, v)
		}
	}
	return low, high
}

// spansMost is how many spans are told one by one.
const spansMost = 6

func onText(spans []spanOf, zero time.Duration) string {
	if len(spans) == 0 {
		return "never"
	}
	var texts []string
	for i, span := range spans {
		if i == spansMost {
			texts = append(texts, "and "+strconv.Itoa(len(spans)-i)+" more times")
			break
		}
		texts = append(texts, ago(since(span.from, zero))+" to "+ago(since(span.to, zero)))
	}
	return strings.Join(texts, ", ")
}
