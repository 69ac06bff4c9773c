package picture

import "sort"

// name is that of a curve, beside where it ends.
type name struct {
	text string
	ink  ink
	end  float64 // where the curve ends
	y    float64 // where the name stands
}

// names returns the names of a panel's curves so that none lies on another and
// all are beside the panel.
func (p *plan) names(n *panel) []name {
	var list []name
	for i := range n.curves {
		c := &n.curves[i]
		for r := len(p.sheet.Rows) - 1; r >= 0; r-- {
			if v, valid := c.value(&p.sheet.Rows[r]); valid {
				y := n.y(v)
				list = append(list, name{c.name, c.ink, y, y})
				break
			}
		}
	}
	sort.SliceStable(list, func(i, j int) bool { return list[i].y < list[j].y })
	top, bottom := n.top+4, n.top+n.height
	for i := range list {
		list[i].y = max(list[i].y, top)
		top = list[i].y + nameRow
	}
	for i := len(list) - 1; i >= 0; i-- {
		list[i].y = min(list[i].y, bottom)
		bottom = list[i].y - nameRow
	}
	return list
}

func (p *plan) drawNames(d *drawing, n *panel) {
	for _, one := range p.names(n) {
		d.line(point{right + 2, one.end}, point{right + 8, one.y}, edge, 1, "")
		d.line(point{right + 8, one.y}, point{right + 32, one.y}, one.ink.colour, 1.6, one.ink.dash)
		d.words(point{right + 37, one.y + 4}, tickSize, dark, atStart, one.text)
	}
}
