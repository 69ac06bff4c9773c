package report

// drawPanel draws one diagram: its grid, limits, curves and the names
// beside them.
func (p *picture) drawPanel(q pen, n panel) {
	q.open(n.Title)
	p.drawValues(q, n)
	var names []sideName
	for _, l := range n.Limits {
		if finite(l.Value) {
			names = append(names, p.drawLimit(q, n, l))
		}
	}
	missing := 0
	for i, l := range n.Lines {
		if l.Track == nil {
			continue
		}
		c := curves[i%len(curves)]
		q.open(l.Name)
		if l.Track.Gaps() > 0 {
			p.drawMissing(q, n, l.Track, c, float64(missing))
			missing++
		}
		if paths := p.trace(n, l.Track); len(paths) > 0 {
			q.lines(stroke{c.ink, 1.7, c.dash}, paths...)
		}
		q.close()
		y := (n.top + n.bottom) / 2
		if last, _, ok := l.Track.Last(); ok {
			y = n.y(last)
		}
		names = append(names, sideName{y: y, words: clean(l.Name), ink: inkText, stroke: stroke{c.ink, 2, c.dash}})
	}
	p.drawNames(q, n, names)
	q.close()
}

// drawValues draws the horizontal grid and the numbers beside it.
func (p *picture) drawValues(q pen, n panel) {
	s := styleTick
	s.anchor = atEnd
	var grid [][]point
	for _, v := range n.scale.ticks() {
		y := crisp(n.y(v))
		q.text(p.left-8, y+4, s, n.scale.label(v))
		if y < n.bottom-1 {
			grid = append(grid, []point{{p.left, y}, {p.right, y}})
		}
	}
	q.lines(stroke{ink: inkGrid, width: 1}, grid...)
	y := crisp(n.bottom)
	q.lines(stroke{ink: inkEdge, width: 1}, []point{{p.left, y}, {p.right, y}})
}

// limitWords is the label of a limit, with an arrow when it lies off the scale.
func limitWords(n panel, l Limit) string {
	switch at := n.scale.at(l.Value); {
	case at > 1:
		return "\u2191 " + clean(l.Label)
	case at < 0:
		return "\u2193 " + clean(l.Label)
	}
	return clean(l.Label)
}

func (p *picture) drawLimit(q pen, n panel, l Limit) sideName {
	y := n.y(l.Value)
	s := stroke{inkLimit, 1.2, []float64{6, 4}}
	name := sideName{y: y, words: limitWords(n, l), ink: inkLimit, stroke: s}
	if at := n.scale.at(l.Value); at < 0 || at > 1 {
		name.stroke.width = 0 // not on the scale, so there is no line to show
		return name
	}
	q.open(clean(l.Label))
	q.lines(s, []point{{p.left, y}, {p.right, y}})
	q.close()
	return name
}

// trace turns a track into polylines, one for each part between gaps, with at
// most four points to a pixel column: first, least, greatest and last.
func (p *picture) trace(n panel, k *Track) [][]point {
	var paths [][]point
	var path []point
	end := func() {
		if len(path) == 1 { // a lone reading is still to be seen
			path = append(path, point{path[0].x + 1.5, path[0].y})
		}
		if len(path) > 0 {
			paths = append(paths, path)
		}
		path = nil
	}
	put := func(x, v float64) {
		pt := point{x, n.y(v)}
		if m := len(path); m > 0 && path[m-1] == pt {
			return
		}
		path = append(path, pt)
	}
	flush := func(b bucket) {
		if b.lead {
			end()
		}
		if b.count > 0 {
			a, z := p.x(b.firstAt), p.x(b.lastAt)
			put(a, b.first)
			if b.min < b.max {
				low, high := b.min, b.max
				if b.last < b.first {
					low, high = high, low
				}
				put((a+z)/2, low)
				put((a+z)/2, high)
			}
			if b.mid {
				end()
			}
			put(z, b.last)
		}
		if b.trail {
			end()
		}
	}
	var held bucket
	column := 0
	for s := range k.stretches {
		if s.to < p.from || s.from > p.to || (s.count > 0 && (s.firstAt < p.from || s.lastAt > p.to)) {
			continue
		}
		c := column
		if s.count > 0 {
			c = int(p.x(s.firstAt))
		}
		if held.count == 0 || c == column {
			held = merged(held, s.bucket)
		} else {
			flush(held)
			held = s.bucket
		}
		column = c
	}
	flush(held)
	end()
	return paths
}

// drawMissing draws a low bar at the foot of the panel where the track had no
// reading, at least two pixels wide.
func (p *picture) drawMissing(q pen, n panel, k *Track, c curve, row float64) {
	var spans []span
	for s := range k.stretches {
		if !s.gap() || s.to < p.from || s.from > p.to {
			continue
		}
		a, b := s.from, s.to
		if s.count > 0 && !s.mid {
			if !s.lead {
				a = s.lastAt
			} else if !s.trail {
				b = s.firstAt
			}
		}
		if m := len(spans); m > 0 && p.x(a)-p.x(spans[m-1].to) < 1 {
			spans[m-1].to = b
			continue
		}
		spans = append(spans, span{a, b})
	}
	for _, s := range spans {
		a, b := p.inside(s.from), p.inside(s.to)
		q.rect(a, n.bottom-4-row*5, max(b-a, 2), 4, c.ink)
	}
}
