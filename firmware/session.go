package main

import (
	"maps"
	"slices"
	"strconv"

	"bathtender/firmware/journal"
	"bathtender/hal/quantity"
)

// session tells what a session was.
func (p *page) session(s *journal.SessionFact) {
	p.print("\nsession\n")
	p.fact("recipe", "%s", oneLine(s.Recipe))
	p.fact("outcome", "%s", oneLine(s.Outcome))
	p.fact("began", "%s after the program's start", quantity.FormatDuration(s.Began.Duration()))
	p.fact("start to end", "%s min", decimal(s.Minutes))
	p.fact("emission", "%s min", decimal(s.Emission))
	p.fact("energy", "%s Wh", decimal(s.Energy))
	if s.Litres != 0 {
		p.fact("liquid", "%s l, as estimated last", decimal(s.Litres))
	}
	if s.Hottest != 0 {
		p.fact("hottest bath", "%s \u00b0C", decimal(s.Hottest))
	}
	p.counts("trip", s.Trips)
	p.counts("hold", s.Holds)
	p.banks(s.Banks)
}

// counts tells how often each protective function acted.
func (p *page) counts(what string, counts map[string]int) {
	for _, name := range slices.Sorted(maps.Keys(counts)) {
		p.fact(what, "%s, %s", oneLine(name), quantity.Count(counts[name], "time"))
	}
}

// banks tells each bank's watts against its baseline.
func (p *page) banks(banks []journal.BankWatts) {
	if len(banks) == 0 {
		return
	}
	p.print("\n  %4s  %9s  %11s  %11s\n", "bank", "mean, W", "baseline, W", "apart")
	for _, b := range banks {
		apart := "no baseline"
		if b.Baseline > 0 {
			apart = strconv.FormatFloat(100*(b.Watts-b.Baseline)/b.Baseline, 'f', 1, 64) + " %"
			if b.Watts >= b.Baseline {
				apart = "+" + apart
			}
		}
		p.print("  %4d  %9.2f  %11.2f  %11s\n", b.Bank, b.Watts, b.Baseline, apart)
	}
}

func decimal(value float64) string { return strconv.FormatFloat(value, 'f', -1, 64) }
