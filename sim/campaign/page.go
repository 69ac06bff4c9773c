package campaign

import (
	"io"
	"strings"

	"bathtender/sim/hazard"
)

// Page is what stands on a campaign's page.
type Page struct {
	Title    string
	Identity Identity
	Outcomes []Outcome
	// Nuisance is the sentence about sessions without faults; empty for none.
	Nuisance string
}

// TextX and TextY are where a square's letters stand.
func (s square) TextX() int { return s.X + squareWide/2 }

// TextY is the base line of the square's letters.
func (s square) TextY() int { return s.Y + squareHigh - 5 }

// TextY is the base line of the row's name.
func (r row) TextY() int { return r.Y + squareHigh - 5 }

// DetectText returns the times to notice for people.
func (l Line) DetectText() string { return range2(l.Detect, l.Noticed) }

// SafeText returns the times to safety for people.
func (l Line) SafeText() string { return range2(l.Safe, l.Stopped) }

// HazardText returns the nearest hazard for people.
func (l Line) HazardText() string {
	if len(l.Hazards) > 0 {
		return "hazard: " + strings.Join(l.Hazards, ", ")
	}
	if l.Nearest == "" {
		return ""
	}
	return l.Nearest + ", " + percent(l.Share) + " of its time"
}

// Covered returns the protection that must cover the set.
func (s CutSet) Covered() string { return hazard.Table[placeOf(s.Hazard)].Covered }

// Write writes the page: HTML with its picture in it, and nothing from elsewhere.
func (p *Page) Write(w io.Writer) error {
	rows, names := heatMap(p.Outcomes)
	var moments []square
	for i, name := range names {
		moments = append(moments, square{X: mapLeft + i*squareWide + 4, Tip: name})
	}
	sets := CutSets(p.Outcomes)
	return pageTemplate.Execute(w, map[string]any{
		"Title": p.Title, "Identity": p.Identity.String(), "Rows": rows, "Moments": moments,
		"Wide": mapLeft + len(names)*squareWide, "High": mapTop + len(rows)*squareHigh + 4, "Label": mapLeft - 8,
		"SquareWide": squareWide, "SquareHigh": squareHigh,
		"Lines": Table(p.Outcomes), "Sets": sets, "Nuisance": p.Nuisance,
	})
}
