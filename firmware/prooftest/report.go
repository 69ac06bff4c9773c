package prooftest

import (
	"fmt"
	"io"
	"strings"
	"time"

	"bathtender/firmware/journal"
)

// Report is a proof test on paper.
type Report struct {
	// Machine is what its owner calls the tank, Fingerprint that of its machine file.
	Machine, Fingerprint, Program string
	Wall                          time.Time
	Results                       []Result
	// Broken is why the walk did not go on to its end, Next what is said of the next
	// one; Whole says that nothing was left out of it beforehand.
	Broken, Next string
	Whole        bool
}

// Line is one row of a report.
type Line struct {
	Name, Result, Seen, Allowed, Remark string
}

// Lines returns the rows, in the order of the walk.
func (r *Report) Lines() []Line {
	var lines []Line
	for i := range r.Results {
		one := &r.Results[i]
		line := Line{Name: one.Step.Name(), Result: string(one.Outcome), Remark: one.Why}
		if one.Outcome == journal.ProofPassed {
			line.Remark = one.Took
		}
		if one.Seen > 0 || one.Outcome == journal.ProofPassed {
			line.Seen, line.Allowed = seconds(one.Seen), seconds(one.Allowed)
		}
		lines = append(lines, line)
	}
	return lines
}

// Tally returns the count in plain words.
func (r *Report) Tally() string { return Count(r.Results).Sentence(r.Results) }

// Date returns when the test was made.
func (r *Report) Date() string {
	if journal.Day(r.Wall) == 0 {
		return r.Wall.Format("2006-01-02 15:04 MST") + ", by a clock that was not set"
	}
	return r.Wall.Format("2006-01-02 15:04 MST")
}

// Scope says what of the machine's functions was to be tried.
func (r *Report) Scope() string {
	text := "all that can be tried by hand"
	if !r.Whole {
		text = "a part of it, chosen beforehand"
	}
	if r.Broken != "" {
		text += "; broken off: " + r.Broken
	}
	return text
}

// Caution is what a report must not be taken for.
const Caution = "What was not tried is not proven. A pass says that the function acted today, from its signal to what it takes away; " +
	"it says nothing of the fuse, the residual-current device, the earth and the thermal cut-off, which an electrician tests."

// WriteText writes the report as text.
func (r *Report) WriteText(w io.Writer) error {
	var b strings.Builder
	fmt.Fprintf(&b, "Proof test of %q\n\n", r.Machine)
	fmt.Fprintf(&b, "made           %s\nmachine file   %.16s\nprogram        version %s\nextent         %s\nresult         %s\n\n",
		r.Date(), r.Fingerprint, r.Program, r.Scope(), r.Tally())
	for _, l := range r.Lines() {
		fmt.Fprintf(&b, "%-9s  %s", l.Result, l.Name)
		if l.Seen != "" {
			fmt.Fprintf(&b, ": seen after %s at most, %s allowed", l.Seen, l.Allowed)
		}
		b.WriteString("\n")
		if l.Remark != "" {
			fmt.Fprintf(&b, "           %s\n", l.Remark)
		}
	}
	fmt.Fprintf(&b, "\n%s\n%s.\n\nMade by ______________________________   Put back in order and seen by ______________________________\n", Caution, r.Next)
	_, err := io.WriteString(w, b.String())
	return err
}
