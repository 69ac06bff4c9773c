package picture

import (
	"strconv"
	"time"
)

// event is what happened at one row.
type event struct {
	at    time.Duration // from the picture's zero
	row   time.Duration // as in its row
	key   string        // its number, or the word for the zero
	lines []string
}

// eventsMost is how many events are told in words.
const eventsMost = 40

// Where the list of what happened has its columns.
const (
	keyX  = edgeX + 44 // the end of a number
	agoX  = keyX + 92  // the end of a time
	saidX = agoX + 14
)

// events returns what happened, and gives each row with events but that at zero
// its number.
func (s *Sheet) events() []event {
	var list []event
	number := 0
	for i := range s.Rows {
		r := &s.Rows[i]
		if r.Events == "" {
			continue
		}
		e := event{at: since(r.Time, s.Zero), row: r.Time, key: s.Mark, lines: wrap(r.Events, textSize, sheetWidth-edgeX-saidX)}
		if e.at != 0 {
			number++
			e.key = strconv.Itoa(number)
		}
		list = append(list, e)
	}
	return list
}

func (p *plan) eventLines() int {
	lines := 0
	for i, e := range p.events {
		if i == eventsMost {
			return lines + 1
		}
		lines += len(e.lines)
	}
	return lines
}

func (p *plan) drawEvents(d *drawing, y float64) {
	y += lineRow
	d.bold(point{edgeX, y}, textSize, dark, atStart, "what happened")
	for i, e := range p.events {
		y += lineRow
		if i == eventsMost {
			d.words(point{saidX, y}, textSize, quiet, atStart, "and at "+strconv.Itoa(len(p.events)-i)+" more rows")
			return
		}
		d.bold(point{keyX, y}, textSize, keyColour(e), atEnd, e.key)
		d.words(point{agoX, y}, textSize, dark, atEnd, ago(e.at))
		for n, line := range e.lines {
			if n > 0 {
				y += lineRow
			}
			d.words(point{saidX, y}, textSize, dark, atStart, line)
		}
	}
}

func keyColour(e event) string {
	if e.at == 0 {
		return red
	}
	return quiet
}
