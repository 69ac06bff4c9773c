package main

import (
	"fmt"
	"strings"

	"bathtender/firmware/journal"
)

// proof tells what came of each protective function in a proof test.
func (p *page) proof(t *journal.ProofTest) {
	extent := "all that can be tried by hand"
	if !t.Whole {
		extent = "a part of it, chosen beforehand"
	}
	if t.Broken {
		extent += "; broken off"
	}
	p.fact("extent", "%s", extent)
	p.print("\n")
	for i := range t.Results {
		r := &t.Results[i]
		name := []string{functionName(&journal.Trip{Function: r.Function, Place: r.Place})}
		if r.By != "" {
			name = append(name, oneLine(r.By))
		}
		text := strings.Join(name, ", ")
		if r.Allowed != 0 {
			text += fmt.Sprintf(": seen after %s s at most, %s s allowed", decimal(r.Seen), decimal(r.Allowed))
		}
		p.print("  %-9s  %s\n", oneLine(string(r.Result)), text)
		if r.Why != "" {
			p.print("             %s\n", oneLine(r.Why))
		}
	}
}
