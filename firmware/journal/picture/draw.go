package picture

// draw draws everything, what lies behind first.
func (p *plan) draw(d *drawing) {
	d.put(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %s %s" width="%s" height="%s" role="img" aria-labelledby="title desc" font-family="%s">`,
		px(sheetWidth), px(p.height), px(sheetWidth), px(p.height), fonts)
	d.put(`<title id="title">%s</title>`, escape(p.sheet.Title))
	d.put(`<desc id="desc">%s</desc>`, escape(p.describe()))
	d.rect(0, 0, sheetWidth, p.height, paper)
	y := 12.0
	for _, line := range p.titles {
		y += 22
		d.bold(point{edgeX, y - 4}, titleSize, dark, atStart, line)
	}
	for _, line := range p.about {
		y += lineRow
		d.words(point{edgeX, y - 4}, textSize, quiet, atStart, line)
	}
	if len(p.sheet.Rows) > 0 {
		p.drawTime(d)
		for i := range p.panels {
			drawGrid(d, &p.panels[i])
		}
		p.drawBars(d)
		p.drawMarks(d)
		for i := range p.panels {
			p.drawCurves(d, &p.panels[i])
		}
		heading(d, p.barsTop, "commanded on")
		y = p.bottom + 44
	}
	for _, line := range p.remarks {
		y += lineRow
		d.words(point{edgeX, y - 4}, textSize, quiet, atStart, line)
	}
	if len(p.events) > 0 {
		p.drawEvents(d, y+10)
	}
	d.put("</svg>")
}

// drawTime draws the grid of the time across all diagrams, and the axis.
func (p *plan) drawTime(d *drawing) {
	zero := float64(p.sheet.Zero)
	d.open("time", "time from the "+p.sheet.Mark)
	for _, tick := range p.clock.ticks(float64(p.from)-zero, float64(p.to)-zero) {
		at := zero + float64(tick*float64(p.clock.unit))
		x := (left + right) / 2
		if p.to > p.from {
			x = left + float64((right-left)*p.share(at))
		}
		for i := range p.panels {
			n := &p.panels[i]
			d.line(point{x, n.top}, point{x, n.top + n.height}, grid, 1, "")
		}
		d.line(point{x, p.bottom}, point{x, p.bottom + 5}, quiet, 1, "")
		d.words(point{x, p.bottom + 18}, tickSize, quiet, atMiddle, decimal(tick, p.clock.places))
	}
	d.line(point{left, p.bottom}, point{right, p.bottom}, quiet, 1, "")
	d.words(point{(left + right) / 2, p.bottom + 36}, textSize, quiet, atMiddle, "time from the "+p.sheet.Mark+", "+p.clock.name)
	d.close()
}

// drawGrid draws the axis of a diagram's values.
func drawGrid(d *drawing, n *panel) {
	d.open("grid", n.title)
	for i := n.scale.first; i <= n.scale.last; i++ {
		y := n.y(n.scale.tick(i))
		colour := grid
		if i == n.scale.first {
			colour = edge
		}
		d.line(point{left, y}, point{right, y}, colour, 1, "")
		d.words(point{left - 8, y + 4}, tickSize, quiet, atEnd, n.scale.label(i))
	}
	d.close()
}

func (p *plan) drawCurves(d *drawing, n *panel) {
	d.open("panel", n.title)
	heading(d, n.top, n.title)
	foot := n.top + n.height
	for i := range n.curves {
		c := &n.curves[i]
		d.open("curve", c.name)
		for _, points := range p.sheet.stretches(c, p.x, n.y) {
			d.curve(points, c.ink)
		}
		for _, gap := range p.sheet.gaps(c) {
			from, to := p.x(gap.from), p.x(gap.to)
			d.rect(from, foot-4-float64(float64(i)*4), max(to-from, 2), 3, c.ink.colour)
		}
		d.close()
	}
	p.drawNames(d, n)
	d.close()
}

// heading puts a name above a diagram, on a ground that keeps the marks away
// from it.
func heading(d *drawing, top float64, title string) {
	d.rect(left+4, top-headRow+3, width(title, textSize)+4, headRow-5, paper)
	d.bold(point{left + 6, top - 6}, textSize, dark, atStart, title)
}
