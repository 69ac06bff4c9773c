package picture

import (
	"math"
	"strconv"
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
	"bathtender/hal/trace"
)

// panel is a diagram of some readings of one unit.
type panel struct {
	title    string
	fromZero bool
	height   float64
	curves   []curve

	top   float64
	scale scale
}

// curve is one reading of the rows.
type curve struct {
	name  string
	ink   ink
	value func(*trace.Row) (float64, bool)
}

func degrees(r hal.Reading[physic.Temperature]) (float64, bool) {
	return float64(r.Value-physic.ZeroCelsius) / float64(physic.Kelvin), r.Valid
}

// panels returns the diagrams of what is fitted, and the names of what has no
// reading at all.
func (s *Sheet) panels() (list []panel, silent []string) {
	probe := func(name string, i int) curve {
		return curve{name: name, value: func(r *trace.Row) (float64, bool) { return degrees(r.Probes[i]) }}
	}
	fans := panel{title: "fan speed, rpm", fromZero: true, height: 100}
	for i := range min(s.Fans, hal.MaxFans) {
		fans.curves = append(fans.curves, curve{name: "fan " + strconv.Itoa(i+1), value: func(r *trace.Row) (float64, bool) {
			return float64(r.Fans[i].Value) / float64(hal.RPM), r.Fans[i].Valid
		}})
	}
	all := []panel{
		{title: "bath temperature, \u00b0C", height: 120, curves: []curve{probe("bath probe A", hal.BathA), probe("bath probe B", hal.BathB)}},
		{title: "mains power, W", fromZero: true, height: 100, curves: []curve{{name: "whole cabinet", value: func(r *trace.Row) (float64, bool) {
			return float64(r.Meter.Watts.Value) / float64(physic.Watt), r.Meter.Watts.Valid
		}}}},
		fans,
		{title: "cabinet temperature, \u00b0C", height: 80, curves: []curve{probe("cabinet probe", hal.Cabinet)}},
	}
	for _, p := range all {
		var fitted []curve
		for i, c := range p.curves {
			c.ink = inks[i%len(inks)]
			if c.silent(s.Rows) {
				silent = append(silent, c.name)
				continue
			}
			fitted = append(fitted, c)
		}
		if p.curves = fitted; len(fitted) > 0 {
			p.height = max(p.height, float64(float64(len(fitted))*nameRow)+8)
			p.fit(s.Rows)
			list = append(list, p)
		}
	}
	return list, silent
}

func (c *curve) silent(rows []trace.Row) bool {
	for i := range rows {
		if _, valid := c.value(&rows[i]); valid {
			return false
		}
	}
	return true
}

// fit gives the panel the scale of its readings.
func (p *panel) fit(rows []trace.Row) {
	low, high := math.Inf(1), math.Inf(-1)
	if p.fromZero {
		low, high = 0, 0
	}
	for i := range p.curves {
		for n := range rows {
			if v, valid := p.curves[i].value(&rows[n]); valid {
				low, high = math.Min(low, v), math.Max(high, v)
			}
		}
	}
	p.scale = newScale(low, high)
}

func (p *panel) y(value float64) float64 {
	return p.top + float64(p.height*(1-p.scale.at(value)))
}

// stretches returns a curve's points, a list for each time that readings follow
// one another without a gap.
func (s *Sheet) stretches(c *curve, x func(time.Duration) float64, y func(float64) float64) [][]point {
	var list [][]point
	var open []point
	end := func() {
		if len(open) == 1 { // a lone reading is still to be seen
			open = append(open, point{open[0].x + 1, open[0].y})
		}
		if len(open) > 0 {
			list = append(list, thinned(open))
		}
		open = nil
	}
	for i := range s.Rows {
		v, valid := c.value(&s.Rows[i])
		if !valid || !s.follows(i) {
			end()
		}
		if valid {
			open = append(open, point{x(s.Rows[i].Time), y(v)})
		}
	}
	end()
	return list
}

// thinned leaves at most four points in each unit of width: the first, the
// highest, the lowest and the last, in their order.
func thinned(points []point) []point {
	var out []point
	for len(points) > 0 {
		n, high, low := 1, 0, 0
		for n < len(points) && math.Floor(points[n].x) == math.Floor(points[0].x) {
			if points[n].y < points[high].y {
				high = n
			}
			if points[n].y > points[low].y {
				low = n
			}
			n++
		}
		last := -1
		for _, i := range []int{0, min(high, low), max(high, low), n - 1} {
			if i > last {
				out = append(out, points[i])
				last = i
			}
		}
		points = points[n:]
	}
	return out
}

// gaps returns the spans of time in which a curve has no reading, from the first
// row without to the next with one.
func (s *Sheet) gaps(c *curve) []spanOf {
	return s.spans(func(r *trace.Row) bool { _, valid := c.value(r); return !valid })
}

// spanOf is a span of time.
type spanOf struct{ from, to time.Duration }

// spans returns the spans of time in which something holds of the rows. What
// holds at a row holds until the next, if that follows on it.
func (s *Sheet) spans(holds func(*trace.Row) bool) []spanOf {
	var list []spanOf
	open := false
	for i := range s.Rows {
		at := s.Rows[i].Time
		if open {
			last := &list[len(list)-1]
			if s.follows(i) {
				last.to = at
			} else {
				open = false
			}
		}
		is := holds(&s.Rows[i])
		if is && !open {
			list = append(list, spanOf{at, at})
		}
		open = is
	}
	return list
}
