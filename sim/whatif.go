package main

import (
	"fmt"
	"io"
	"path/filepath"

	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/hal/quantity"
	"bathtender/sim/report"
	"bathtender/sim/scenario"
	"bathtender/sim/whatif"
)

// whatIf is the other machine file of a replay, and what it would have made of
// the same readings.
type whatIf struct {
	cabinet
	name       string
	supervisor *supervisor.Supervisor
	comparison whatif.Comparison
}

func newWhatIf(name string, changed cabinet, banks int) *whatIf {
	return &whatIf{cabinet: changed, name: filepath.Base(name), comparison: whatif.Comparison{Banks: banks}}
}

func (w *whatIf) tick(snapshot *hal.Snapshot, request hal.Request, out hal.Outputs, events []supervisor.Event, said []string) {
	was := whatif.Decision{Outputs: out, Events: events, Text: said}
	var is whatif.Decision
	is.Outputs, is.Events = w.supervisor.Tick(snapshot, request)
	for _, e := range is.Events {
		is.Text = append(is.Text, scenario.Describe(w.supervisor, e).Text)
	}
	w.comparison.Tick(snapshot.Time, &was, &is)
}

// spansMost is how many spans are told one by one.
const spansMost = 40

// tell prints the comparison: the story, the rows, the functions, the sum.
func (w *whatIf) tell(to io.Writer) {
	c := &w.comparison
	fmt.Fprintf(to, "\nWhat if the machine file had been %s? The readings are those recorded: what the\n"+
		"cabinet would have answered to other decisions, nobody knows.\n\n", w.name)
	fmt.Fprintf(to, "  = in both   - only as it was   + only with %s\n", w.name)
	for _, l := range c.Story() {
		fmt.Fprintf(to, "%9s %s %s\n", report.Clock(l.At), whose(l), l.Text)
	}
	fmt.Fprint(to, "\nRows that would have been decided otherwise\n")
	spans := c.Spans()
	for i := range spans {
		if i == spansMost {
			fmt.Fprintf(to, "  and %d more spans\n", len(spans)-i)
			break
		}
		s := &spans[i]
		fmt.Fprintf(to, "  %s to %s, %s: %s\n", report.Clock(s.From), report.Clock(s.To), quantity.Count(s.Rows, "row"), s.Text(c.Banks))
	}
	if len(spans) == 0 {
		fmt.Fprintln(to, "  none")
	}
	fmt.Fprint(to, "\nFunctions that acted in either\n")
	functions := c.Functions()
	for _, text := range functions {
		fmt.Fprintf(to, "  %s\n", text)
	}
	if len(functions) == 0 {
		fmt.Fprintln(to, "  none")
	}
	fmt.Fprintf(to, "\n%s\n\n", c.Sentence(w.name))
}

func whose(l whatif.Line) string {
	switch {
	case l.Was && l.Is:
		return "="
	case l.Was:
		return "-"
	default:
		return "+"
	}
}
