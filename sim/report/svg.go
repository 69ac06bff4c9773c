package report

import (
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
)

// svgFonts are the font and what to use where it is not installed; all have
// letters of the same widths.
const svgFonts = "Liberation Sans, Arimo, Helvetica, Arial, sans-serif"

// WriteSVG writes the sheet as one SVG that stands alone: no script, no font
// and no other resource is fetched. It carries a title and a description for
// readers who cannot see it.
func (s *Sheet) WriteSVG(w io.Writer) error {
	p := newPicture(s)
	q := &svgPen{}
	q.begin(p)
	p.draw(q)
	q.b.WriteString("</svg>\n")
	_, err := io.WriteString(w, q.b.String())
	return err
}

// svgPen writes the shapes as SVG elements, one to a line.
type svgPen struct{ b strings.Builder }

func (q *svgPen) begin(p *picture) {
	title := clean(p.sheet.Title)
	if title == "" {
		title = "Session"
	}
	fmt.Fprintf(&q.b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" width="%d" height="%d" role="img" aria-labelledby="sheet-title sheet-desc" font-family="%s">`+"\n",
		p.width, p.height, p.width, p.height, svgFonts)
	fmt.Fprintf(&q.b, "<title id=\"sheet-title\">%s</title>\n", escape(title))
	fmt.Fprintf(&q.b, "<desc id=\"sheet-desc\">%s</desc>\n", escape(p.describe()))
}

func (q *svgPen) open(title string) {
	q.b.WriteString("<g>")
	if title = clean(title); title != "" {
		q.b.WriteString("<title>" + escape(title) + "</title>")
	}
	q.b.WriteByte('\n')
}

func (q *svgPen) close() { q.b.WriteString("</g>\n") }

func (q *svgPen) rect(x, y, w, h float64, fill ink) {
	fmt.Fprintf(&q.b, `<rect x="%s" y="%s" width="%s" height="%s" fill="%s"/>`+"\n",
		px(x), px(y), px(w), px(h), hex(fill))
}

func (q *svgPen) lines(s stroke, paths ...[]point) {
	q.b.WriteString(`<path fill="none" stroke="` + hex(s.ink) + `"`)
	if s.width != 1 {
		q.b.WriteString(` stroke-width="` + px(s.width) + `"`)
	}
	if len(s.dash) > 0 {
		q.b.WriteString(` stroke-dasharray="`)
		for i, d := range s.dash {
			if i > 0 {
				q.b.WriteByte(' ')
			}
			q.b.WriteString(px(d))
		}
		q.b.WriteByte('"')
	}
	q.b.WriteString(` stroke-linejoin="round" d="`)
	for _, path := range paths {
		q.path(path)
	}
	q.b.WriteString("\"/>\n")
}

// path writes one polyline in steps from point to point, leaving out those too
// small to be seen. Steps are whole tenths of a pixel, so they add up exactly.
func (q *svgPen) path(path []point) {
	var x, y int64
	for i, pt := range path {
		nx, ny := tenths(pt.x), tenths(pt.y)
		switch {
		case i == 0:
			q.b.WriteString("M" + decimal(nx) + " " + decimal(ny))
		case nx == x && ny == y:
		case ny == y:
			q.b.WriteString("h" + decimal(nx-x))
		case nx == x:
			q.b.WriteString("v" + decimal(ny-y))
		default:
			q.b.WriteString("l" + decimal(nx-x) + " " + decimal(ny-y))
		}
		x, y = nx, ny
	}
}

func (q *svgPen) text(x, y float64, s style, words string) {
	fmt.Fprintf(&q.b, `<text x="%s" y="%s" font-size="%s" fill="%s"`, px(x), px(y), px(s.size), hex(s.ink))
	if s.bold {
		q.b.WriteString(` font-weight="bold"`)
	}
	switch s.anchor {
	case atMiddle:
		q.b.WriteString(` text-anchor="middle"`)
	case atEnd:
		q.b.WriteString(` text-anchor="end"`)
	}
	q.b.WriteString(">" + escape(words) + "</text>\n")
}

// px writes a coordinate to a tenth of a pixel, as short as it goes.
func px(v float64) string { return decimal(tenths(v)) }

func tenths(v float64) int64 { return int64(math.Round(v * 10)) }

func decimal(t int64) string {
	whole := strconv.FormatInt(t/10, 10)
	if t%10 == 0 {
		return whole
	}
	if t < 0 && t > -10 {
		whole = "-0"
	}
	return whole + "." + strconv.FormatInt(max(t%10, -t%10), 10)
}

func hex(c ink) string { return fmt.Sprintf("#%02X%02X%02X", c.R, c.G, c.B) }

func escape(words string) string {
	var b strings.Builder
	// A strings.Builder never fails.
	_ = xml.EscapeText(&b, []byte(words))
	return b.String()
}
