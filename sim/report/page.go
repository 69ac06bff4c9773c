package report

import (
	_ "embed"
	"html/template"
	"io"
	"strings"
)

//go:embed page.html
var pageText string

var page = template.Must(template.New("page").Parse(pageText))

// pageData is what the template needs, with every time and number in words.
type pageData struct {
	Title, Subtitle string
	Cautions        []string
	Facts           []Fact
	Picture         template.HTML
	Notes           []string
	Phases          []pagePhase
	Curves          []pageCurve
	Outputs         []pageOutput
	Events          []pageEvent
}

type (
	pagePhase  struct{ Name, From, To, Long string }
	pageCurve  struct{ Panel, Name, Unit, Min, MinAt, Max, MaxAt, Last, Missing string }
	pageOutput struct {
		Name, OnTime string
		Starts       int64
	}
	pageEvent struct{ At, Kind, Text string }
)

// WritePage writes the page as one HTML file that fetches nothing: no script,
// no style sheet, no font, no picture. It is made for a phone, for paper and
// for a screen reader as well as for a desk.
func (r *Report) WritePage(w io.Writer) error {
	var svg strings.Builder
	if err := r.bare().WriteSVG(&svg); err != nil {
		return err
	}
	d := pageData{
		Title: clean(r.Title), Subtitle: clean(r.Subtitle),
		Cautions: r.Cautions, Facts: r.Facts,
		// The pen escapes every word it was given, so this is markup of ours.
		Picture: template.HTML(svg.String()),
		Notes:   r.Sheet.Notes(),
	}
	if d.Title == "" {
		d.Title = "Session"
	}
	for _, f := range r.Sheet.Phases.List() {
		if clean(f.Name) != "" {
			d.Phases = append(d.Phases, pagePhase{clean(f.Name), Clock(f.From), Clock(f.To), Clock(f.long())})
		}
	}
	for _, p := range r.Sheet.Panels {
		for _, l := range p.Lines {
			d.Curves = append(d.Curves, curveRow(p, l))
		}
	}
	for _, o := range r.Sheet.Outputs {
		if o.Bars != nil {
			d.Outputs = append(d.Outputs, pageOutput{clean(o.Name), timeOn(o.Bars), o.Bars.Starts()})
		}
	}
	for _, e := range r.Events {
		d.Events = append(d.Events, pageEvent{Clock(e.At), e.Severity.String(), clean(e.Text)})
	}
	return page.Execute(w, d)
}

func curveRow(p Panel, l Line) pageCurve {
	row := pageCurve{Panel: clean(p.Title), Name: clean(l.Name), Unit: clean(p.Unit), Missing: "none"}
	if l.Track == nil || l.Track.total.count == 0 {
		row.Missing = "all of it"
		return row
	}
	t := l.Track.total
	row.Min, row.MinAt = reading(t.min, t.big()), Clock(t.minAt)
	row.Max, row.MaxAt = reading(t.max, t.big()), Clock(t.maxAt)
	row.Last = reading(t.last, t.big())
	if t.gaps > 0 {
		row.Missing = share(t.gaps, t.gaps+t.count)
	}
	return row
}

// share is a part of a whole as a percentage that is never rounded to nothing.
func share(part, whole int64) string {
	percent := 100 * float64(part) / float64(whole)
	if percent < 0.1 {
		return "under 0.1 %"
	}
	return number(percent, 1) + " %"
}
