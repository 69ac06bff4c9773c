package picture

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"strconv"
	"strings"
	"unicode"
)

// point is a place in the picture, in its units from the upper left corner.
type point struct{ x, y float64 }

// drawing is the text of an SVG that is being written, one element a line.
type drawing struct{ text bytes.Buffer }

func (d *drawing) put(format string, args ...any) {
	fmt.Fprintf(&d.text, format, args...)
	d.text.WriteByte('\n')
}

// open begins a group, with a name for readers that look into the picture.
func (d *drawing) open(class, title string) {
	d.put(`<g class="%s"><title>%s</title>`, class, escape(title))
}

func (d *drawing) close() { d.put("</g>") }

func (d *drawing) rect(x, y, width, height float64, fill string) {
	d.put(`<rect x="%s" y="%s" width="%s" height="%s" fill="%s"/>`, px(x), px(y), px(width), px(height), fill)
}

func (d *drawing) line(from, to point, colour string, width float64, dash string) {
	d.put(`<line x1="%s" y1="%s" x2="%s" y2="%s" stroke="%s" stroke-width="%s"%s/>`,
		px(from.x), px(from.y), px(to.x), px(to.y), colour, px(width), dashes(dash))
}

// curve draws one stretch of a curve.
func (d *drawing) curve(points []point, i ink) {
	d.text.WriteString(`<polyline fill="none" stroke="` + i.colour + `" stroke-width="1.6" stroke-linejoin="round" stroke-linecap="round"` +
		dashes(i.dash) + ` points="`)
	for n, p := range points {
		if n > 0 {
			d.text.WriteByte(' ')
		}
		d.text.WriteString(px(p.x) + "," + px(p.y))
	}
	d.put(`"/>`)
}

// Where a text stands to its place.
const (
	atStart  = "start"
	atMiddle = "middle"
	atEnd    = "end"
)

func (d *drawing) words(at point, size float64, colour, anchor, text string) {
	d.put(`<text x="%s" y="%s" font-size="%s" fill="%s" text-anchor="%s">%s</text>`,
		px(at.x), px(at.y), px(size), colour, anchor, escape(text))
}

func (d *drawing) bold(at point, size float64, colour, anchor, text string) {
	d.put(`<text x="%s" y="%s" font-size="%s" font-weight="bold" fill="%s" text-anchor="%s">%s</text>`,
		px(at.x), px(at.y), px(size), colour, anchor, escape(text))
}

func dashes(dash string) string {
	if dash == "" {
		return ""
	}
	return ` stroke-dasharray="` + dash + `"`
}

// px writes a length to a tenth of a unit.
func px(v float64) string {
	text := strings.TrimSuffix(strconv.FormatFloat(v, 'f', 1, 64), ".0")
	if text == "-0" {
		return "0"
	}
	return text
}

// escape makes a text fit for XML, on one line, whatever it holds.
func escape(text string) string {
	var out bytes.Buffer
	if err := xml.EscapeText(&out, []byte(oneLine(text))); err != nil {
		return "" // not reached: a buffer takes everything
	}
	return out.String()
}

// oneLine puts a space for what would break a line, and leaves out what cannot be
// seen.
func oneLine(text string) string {
	return strings.Map(func(c rune) rune {
		switch {
		case unicode.IsSpace(c):
			return ' '
		case !unicode.IsPrint(c):
			return -1
		}
		return c
	}, text)
}
