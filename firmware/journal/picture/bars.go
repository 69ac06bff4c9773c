package picture

import (
	"strconv"

	"bathtender/hal"
	"bathtender/hal/trace"
)

// barOf is an output, drawn as a bar while it was commanded on.
type barOf struct {
	name string
	on   func(*trace.Row) bool
}

func (s *Sheet) bars() []barOf {
	list := []barOf{
		{"contactor", func(r *trace.Row) bool { return r.Outputs.Contactor }},
		{"fans", func(r *trace.Row) bool { return r.Outputs.Fans }},
		{"heater", func(r *trace.Row) bool { return r.Outputs.Heater }},
	}
	banks := s.Banks
	for i := range s.Rows {
		for banks < hal.MaxBanks && s.Rows[i].Outputs.Banks>>banks != 0 {
			banks++
		}
	}
	for i := range min(banks, hal.MaxBanks) {
		list = append(list, barOf{"bank " + strconv.Itoa(i+1), func(r *trace.Row) bool { return r.Outputs.Banks.Has(i) }})
	}
	return list
}

func (p *plan) drawBars(d *drawing) {
	y := p.barsTop
	for _, b := range p.bars {
		d.open("bar", b.name)
		d.rect(left, y+1, right-left, barRow-2, row)
		d.words(point{left - 8, y + 11}, tickSize, dark, atEnd, b.name)
		for _, span := range p.sheet.spans(b.on) {
			from, to := p.x(span.from), p.x(span.to)
			d.rect(from, y+3, max(to-from, 1), barRow-6, bar)
		}
		d.close()
		y += barRow
	}
}
