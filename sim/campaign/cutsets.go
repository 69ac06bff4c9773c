package campaign

import (
	"slices"
	"strings"

	"bathtender/sim/hazard"
)

// CutSet is a smallest set of faults that leads to a hazard, with the cases in
// which it did.
type CutSet struct {
	Hazard string   `json:"hazard"`
	Faults []string `json:"faults"`
	Cases  int      `json:"cases"`
	// Worst is the most that there was of it, Stood for how many seconds.
	Worst float64 `json:"worst"`
	Stood float64 `json:"stood_s"`
}

// CutSets returns the smallest sets of one or two faults that lead to each
// hazard: a pair with a fault in it that does so alone is none.
func CutSets(outcomes []Outcome) []CutSet {
	sets := map[string]*CutSet{}
	single := map[string]bool{}
	for pass := range 2 {
		for i := range outcomes {
			o := &outcomes[i]
			faults := []string{o.Second}
			if o.First != "" {
				faults = []string{o.First, o.Second}
				slices.Sort(faults)
			}
			if len(faults) != pass+1 {
				continue
			}
			for _, h := range o.Hazards {
				if pass == 1 && (single[h+"/"+faults[0]] || single[h+"/"+faults[1]]) {
					continue
				}
				if pass == 0 {
					single[h+"/"+faults[0]] = true
				}
				key := h + "/" + strings.Join(faults, "+")
				set := sets[key]
				if set == nil {
					set = &CutSet{Hazard: h, Faults: faults}
					sets[key] = set
				}
				set.Cases++
				place := placeOf(h)
				set.Worst, set.Stood = max(set.Worst, o.Worst[place]), max(set.Stood, o.Stood[place])
			}
		}
	}
	var list []CutSet
	for _, set := range sets {
		list = append(list, *set)
	}
	slices.SortFunc(list, func(a, b CutSet) int {
		if d := placeOf(a.Hazard) - placeOf(b.Hazard); d != 0 {
			return d
		}
		if d := len(a.Faults) - len(b.Faults); d != 0 {
			return d
		}
		return strings.Compare(strings.Join(a.Faults, "+"), strings.Join(b.Faults, "+"))
	})
	return list
}

func placeOf(name string) int {
	for h := range hazard.Table {
		if hazard.Table[h].Name == name {
			return h
		}
	}
	return 0
}
