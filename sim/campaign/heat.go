package campaign

import (
	"fmt"
	"html/template"
	"slices"
	"strings"

	"bathtender/sim/fault"
)

// square is one field of the heat map: a fault at a moment.
type square struct {
	X, Y   int
	Class  string // how it went, for the colours
	Letter string // the same without colours
	Tip    string
}

// row is one fault of the heat map.
type row struct {
	Name    string
	Y       int
	Squares []square
}

// The sizes of the heat map.
const (
	squareWide, squareHigh = 74, 17
	mapLeft, mapTop        = 200, 30
)

// heatMap returns the squares of the single faults, and the names of the
// moments.
func heatMap(outcomes []Outcome) (rows []row, moments []string) {
	at := map[string]map[string][]*Outcome{}
	for i := range outcomes {
		o := &outcomes[i]
		if o.First != "" {
			continue
		}
		if at[o.Second] == nil {
			at[o.Second] = map[string][]*Outcome{}
		}
		at[o.Second][o.At] = append(at[o.Second][o.At], o)
	}
	moments = momentNames[:]
	for i := range fault.Catalogue {
		name := fault.Catalogue[i].Name
		if at[name] == nil {
			continue
		}
		r := row{Name: name, Y: mapTop + len(rows)*squareHigh}
		for m, moment := range moments {
			s := squareOf(at[name][moment])
			s.X, s.Y = mapLeft+m*squareWide, r.Y
			s.Tip = name + ", " + moment + ": " + s.Tip
			r.Squares = append(r.Squares, s)
		}
		rows = append(rows, r)
	}
	return rows, moments
}

// squareOf sums the outcomes of one fault at one moment up.
func squareOf(list []*Outcome) square {
	if len(list) == 0 {
		return square{Class: "none", Tip: "not tried"}
	}
	var hazards []string
	noticed, stopped := 0, 0
	var detect []float64
	for _, o := range list {
		for _, h := range o.Hazards {
			if !slices.Contains(hazards, h) {
				hazards = append(hazards, h)
			}
		}
		if o.Detected != "" {
			noticed++
			detect = append(detect, o.After)
		}
		if o.Stopped {
			stopped++
		}
	}
	tip := fmt.Sprintf("noticed in %d of %d", noticed, len(list))
	if noticed > 0 {
		pair := medianAndMost(detect)
		tip += fmt.Sprintf(", after %s s at most", short(pair[1]))
	}
	tip += fmt.Sprintf(", session stopped in %d", stopped)
	switch {
	case len(hazards) > 0:
		return square{Class: "hazard", Letter: "!", Tip: tip + "; hazard: " + strings.Join(hazards, ", ")}
	case noticed == 0 && stopped == len(list):
		return square{Class: "stopped", Letter: "off", Tip: tip + ": the outputs fell off by themselves, or it did not begin"}
	case noticed == 0:
		return square{Class: "unseen", Letter: "", Tip: tip}
	case stopped == len(list):
		return square{Class: "stopped", Letter: quickness(detect), Tip: tip}
	default:
		return square{Class: "noticed", Letter: quickness(detect), Tip: tip}
	}
}

// quickness returns the most that it took to notice: "2 s", "3 min".
func quickness(list []float64) string {
	most := medianAndMost(list)[1]
	switch {
	case most < 9.95:
		return fmt.Sprintf("%.1f s", most)
	case most < 99.5:
		return fmt.Sprintf("%.0f s", most)
	}
	return fmt.Sprintf("%.0f min", most/60)
}

var pageTemplate = template.Must(template.New("page").Parse(pageText))

const pageText = `<!DOCTYPE html>
<html lang="en">
<meta charset="utf-8">
<meta name="viewport" content="width=device-width">
<title>{{.Title}}</title>
<style>
body { font: 15px/1.5 sans-serif; max-width: 62rem; margin: 2rem auto; padding: 0 1rem; color: #1c1c1c; background: #fff }
table { border-collapse: collapse; font-size: 13px } td, th { padding: 2px 10px 2px 0; text-align: left; vertical-align: top; border-bottom: 1px solid #ddd }
svg { max-width: 100%; height: auto } svg text { font: 11px sans-serif; fill: #1c1c1c }
.hazard { fill: #b3261e } .stopped { fill: #bcd7f0 } .noticed { fill: #fbe3b0 } .unseen { fill: #eee } .none { fill: #fff }
text.hazard { fill: #fff; font-weight: bold } .box { stroke: #fff }
.note { color: #444 }
</style>
<h1>{{.Title}}</h1>
<p>{{.Identity}}</p>
<p class="note">A campaign shows what this program does in a modelled cabinet. It does not show that a real one is
safe: the model knows only what is in it.</p>
<h2>Every fault at every moment</h2>
<p>In each field stands how long it took at most until something noticed. Blue: the session was stopped each time.
"off" stands where nothing noticed and the outputs fell off by themselves. Yellow: noticed, and the session went on, as it may. Grey, empty: not noticed, and no hazard. Red, with "!": a hazard.</p>
<svg viewBox="0 0 {{.Wide}} {{.High}}" role="img" aria-label="Heat map of faults and moments; the table below has the same">
{{range .Moments}}<text x="{{.X}}" y="20">{{.Tip}}</text>
{{end}}{{range .Rows}}<text x="{{$.Label}}" y="{{.TextY}}" text-anchor="end">{{.Name}}</text>
{{range .Squares}}<g><title>{{.Tip}}</title><rect class="{{.Class}} box" x="{{.X}}" y="{{.Y}}" width="{{$.SquareWide}}" height="{{$.SquareHigh}}"/>{{if .Letter}}<text class="{{.Class}}" x="{{.TextX}}" y="{{.TextY}}" text-anchor="middle"{{if ne .Class "hazard"}} style="fill:#1c1c1c"{{end}}>{{.Letter}}</text>{{end}}</g>
{{end}}{{end}}</svg>
<h2>Single faults</h2>
<table>
<tr><th>fault</th><th>comes</th><th>cases</th><th>noticed</th><th>mostly by</th><th>noticed after, median and most</th><th>safe after, median and most</th><th>nearest hazard</th></tr>
{{range .Lines}}<tr><td>{{.Fault}}</td><td>{{.Onset}}</td><td>{{.Cases}}</td><td>{{.Noticed}}</td><td>{{.By}}</td><td>{{.DetectText}}</td><td>{{.SafeText}}</td><td>{{.HazardText}}</td></tr>
{{end}}</table>
<h2>What leads to a hazard</h2>
{{if .Sets}}<p>The smallest sets of faults, and the protection that needs no program and must be there for them.</p>
<table><tr><th>hazard</th><th>faults</th><th>must be covered by</th></tr>
{{range .Sets}}<tr><td>{{.Hazard}}</td><td>{{.Text}}</td><td>{{.Covered}}</td></tr>
{{end}}</table>{{else}}<p>Nothing that was tried.</p>{{end}}
{{if .Nuisance}}<h2>Sessions without faults</h2><p>{{.Nuisance}}</p>{{end}}
</html>
`
