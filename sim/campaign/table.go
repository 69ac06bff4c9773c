package campaign

import (
	"slices"

	"bathtender/sim/fault"
	"bathtender/sim/hazard"
)

// Line is what came of one fault alone, over all moments and seeds.
type Line struct {
	Fault string `json:"fault"`
	Onset string `json:"onset"`
	Cases int    `json:"cases"`
	// Noticed is in how many cases something noticed it, By what most often did.
	Noticed int    `json:"noticed"`
	By      string `json:"by,omitempty"`
	// Detect and Safe are in seconds after the fault: the median and the most.
	// Safe counts the cases only in which the session was stopped.
	Detect [2]float64 `json:"detect_s"`
	Safe   [2]float64 `json:"safe_s"`
	// Stopped is in how many cases the session was stopped or did not begin.
	Stopped int `json:"stopped"`
	// Nearest is the hazard that came nearest to its limit or its time, Share how
	// near, 1 for there; Hazards those that stood for too long.
	Nearest string   `json:"nearest,omitempty"`
	Share   float64  `json:"share"`
	Hazards []string `json:"hazards,omitempty"`
}

// Table returns a line for each fault that was tried alone, in the order of the
// catalogue.
func Table(outcomes []Outcome) []Line {
	var list []Line
	for i := range fault.Catalogue {
		k := &fault.Catalogue[i]
		l := Line{Fault: k.Name, Onset: k.Onset.String()}
		by := map[string]int{}
		var detect, safe []float64
		for j := range outcomes {
			o := &outcomes[j]
			if o.First != "" || o.Second != k.Name {
				continue
			}
			l.Cases++
			if o.Detected != "" {
				l.Noticed++
				by[firstWords(o)]++
				detect = append(detect, o.After)
			}
			if o.Stopped {
				l.Stopped++
				safe = append(safe, o.Safe)
			}
			for _, h := range o.Hazards {
				if !slices.Contains(l.Hazards, h) {
					l.Hazards = append(l.Hazards, h)
				}
			}
			if h, share := nearest(o); share > l.Share {
				l.Nearest, l.Share = h, share
			}
		}
		if l.Cases == 0 {
			continue
		}
		l.By = mostOf(by)
		l.Detect, l.Safe = medianAndMost(detect), medianAndMost(safe)
		list = append(list, l)
	}
	return list
}

// firstWords names what noticed: a protective function without its place, or that
// health found something.
func firstWords(o *Outcome) string {
	if o.Function {
		for i := range o.Detected {
			if o.Detected[i] == '(' && i > 0 {
				return o.Detected[:i-1]
			}
		}
		return o.Detected
	}
	return "health"
}

// mostOf returns the name with the highest count; of several the first in the
// alphabet.
func mostOf(counts map[string]int) string {
	var names []string
	for name := range counts {
		names = append(names, name)
	}
	slices.Sort(names)
	best := ""
	for _, name := range names {
		if best == "" || counts[name] > counts[best] {
			best = name
		}
	}
	return best
}

func medianAndMost(list []float64) [2]float64 {
	if len(list) == 0 {
		return [2]float64{}
	}
	slices.Sort(list)
	return [2]float64{list[len(list)/2], list[len(list)-1]}
}

// nearest returns the hazard that a case came nearest to, as a share: of its
// tolerable time where it stood, of its limit where it has a unit.
func nearest(o *Outcome) (name string, share float64) {
	for h := range hazard.Table {
		row := &hazard.Table[h]
		near := 0.0
		if o.Stood[h] > 0 {
			near = o.Stood[h] / row.Tolerable.Seconds()
		}
		if near > share {
			name, share = row.Name, near
		}
	}
	return name, share
}
