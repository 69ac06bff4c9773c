package interlock

import (
	"fmt"
	"io"
	"strings"
	"time"
)

// columns of the matrix.
var columns = [...]struct {
	head  string
	takes Effect
}{
	{"start", TakesStart}, {"heater", TakesHeater}, {"emission", TakesEmission},
	{"contactor", TakesContactor}, {"bank", TakesBank},
}

func mark(e, column Effect) string {
	switch {
	case e.Has(column):
		return "X"
	case e.consequences().Has(column):
		return "x"
	default:
		return ""
	}
}

func delayText(d time.Duration) string {
	if d == 0 {
		return "0"
	}
	return fmt.Sprintf("%g s", d.Seconds())
}

// WriteMatrix writes the cause-and-effect matrix of a machine as text: a row a
// function, a column an effect; X is what it takes away, x what follows.
func WriteMatrix(w io.Writer, cfg *Config) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%-27s %-6s %-7s", "function", "delay", "latch")
	for _, c := range columns {
		fmt.Fprintf(&b, " %-*s", len(c.head), c.head)
	}
	b.WriteString("\n")
	for f := range FunctionCount {
		row := &Table[f]
		line := fmt.Sprintf("%-27s %-6s %-7s", row.Name, delayText(cfg.Delay[f]), row.Latch)
		for _, c := range columns {
			line += fmt.Sprintf(" %-*s", len(c.head), mark(row.Takes, c.takes))
		}
		b.WriteString(strings.TrimRight(line, " ") + "\n")
	}
	b.WriteString("X taken away by the function itself; x follows from it. Fans are never taken away.\n")
	_, err := io.WriteString(w, b.String())
	return err
}

// WriteMarkdown writes docs/protective-functions.md, all of it made from the
// table.
func WriteMarkdown(w io.Writer) error {
	var b strings.Builder
	b.WriteString(markdownHead)
	b.WriteString("| function | cause | applies | delay | latch | takes away |\n|---|---|---|---|---|---|\n")
	for f := range FunctionCount {
		row := &Table[f]
		fmt.Fprintf(&b, "| %s | %s | %s | %s | %s | %s |\n",
			row.Name, row.Cause, row.Applies, delayText(row.Delay), row.Latch, row.Takes)
	}
	b.WriteString("\n## Cause-and-effect matrix\n\nX is taken away by the function itself, x follows from it.\n\n| function |")
	for _, c := range columns {
		b.WriteString(" " + c.head + " |")
	}
	b.WriteString("\n|---|" + strings.Repeat("---|", len(columns)) + "\n")
	for f := range FunctionCount {
		b.WriteString("| " + Table[f].Name + " |")
		for _, c := range columns {
			b.WriteString(" " + mark(Table[f].Takes, c.takes) + " |")
		}
		b.WriteString("\n")
	}
	b.WriteString("\n## A missing reading\n\n| function | judged for | what a missing reading does |\n|---|---|---|\n")
	for f := range FunctionCount {
		row := &Table[f]
		fmt.Fprintf(&b, "| %s | %s | %s |\n", row.Name,
			[...]string{"the cabinet", "each required fan", "each fitted probe", "each bank"}[row.Scope], row.blindness())
	}
	b.WriteString("\n## What it says\n\n")
	for f := range FunctionCount {
		row := &Table[f]
		fmt.Fprintf(&b, "**%s**\n\n", row.Name)
		for _, w := range row.Says {
			if w.Text != "" {
				fmt.Fprintf(&b, "- %s: %s\n", w.Text, row.outcome(0))
			}
		}
		if row.Blind != "" {
			fmt.Fprintf(&b, "- %s: %s\n", row.Blind, row.outcome(0))
		}
		b.WriteString("\n")
	}
	_, err := io.WriteString(w, strings.TrimRight(b.String(), "\n")+"\n")
	return err
}

// blindness tells what the row makes of a missing reading.
func (r *Row) blindness() string {
	if by, ok := r.CoveredBy.Function(); ok {
		return "answered for by \"" + Table[by].Name + "\""
	}
	if r.Blind != "" {
		return "counts as the cause, and withholds the permit at once"
	}
	return "an absent contact counts as open; an estimate that is not known is not judged"
}

const markdownHead = `# The protective functions

This page is made from the table in the code (` + "`interlock/table.go`" + `); a test
compares the two. To bring it up to date: ` + "`go test ./interlock -run TestDocs -update`" + `.

- A **hold** gives the permit back by itself when the cause has gone: at once
  where there is no delay, else when the delay has drained.
- A **trip** is latched. It needs a local reset, which acts when the button is
  let go, and only after the cause has gone (ISO 13849-1, manual reset).
- A **lockout** is a trip that also survives power loss.

A delay fills while the cause stands and drains four times more slowly, so a
loose wire does not escape. The first cause of a shutdown is kept apart from
those that follow it until all have been reset (ISA-18.1, first-out); of two in
the same tick the one further up in the table is the first.

`
