package report

import (
	"io"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/vgimg"
)

// WritePNG writes the sheet as a PNG, WidthPx times PNGScale dots wide.
func (s *Sheet) WritePNG(w io.Writer) error {
	p := newPicture(s)
	// At 72 dots to the inch a point is a pixel.
	c := vgimg.NewWith(
		vgimg.UseWH(vg.Length(p.width), vg.Length(p.height)),
		vgimg.UseDPI(72*min(max(s.PNGScale, 1), 4)))
	p.draw(&pngPen{c: c, height: float64(p.height)})
	_, err := vgimg.PngCanvas{Canvas: c}.WriteTo(w)
	return err
}

// pngPen draws on a canvas whose origin is at the bottom left.
type pngPen struct {
	c      *vgimg.Canvas
	height float64
}

func (q *pngPen) open(string) {}
func (q *pngPen) close()      {}

func (q *pngPen) at(x, y float64) vg.Point {
	return vg.Point{X: vg.Length(x), Y: vg.Length(q.height - y)}
}

func (q *pngPen) rect(x, y, w, h float64, fill ink) {
	q.c.SetColor(fill)
	var path vg.Path
	path.Move(q.at(x, y))
	path.Line(q.at(x+w, y))
	path.Line(q.at(x+w, y+h))
	path.Line(q.at(x, y+h))
	path.Close()
	q.c.Fill(path)
}

func (q *pngPen) lines(s stroke, paths ...[]point) {
	q.c.SetColor(s.ink)
	q.c.SetLineWidth(vg.Length(s.width))
	dash := make([]vg.Length, len(s.dash))
	for i, d := range s.dash {
		dash[i] = vg.Length(d)
	}
	q.c.SetLineDash(dash, 0)
	for _, pts := range paths {
		var path vg.Path
		for i, pt := range pts {
			if i == 0 {
				path.Move(q.at(pt.x, pt.y))
			} else {
				path.Line(q.at(pt.x, pt.y))
			}
		}
		q.c.Stroke(path)
	}
}

func (q *pngPen) text(x, y float64, s style, words string) {
	switch s.anchor {
	case atMiddle:
		x -= s.width(words) / 2
	case atEnd:
		x -= s.width(words)
	}
	q.c.SetColor(s.ink)
	q.c.FillString(face(s.size, s.bold), q.at(x, y), words)
}
