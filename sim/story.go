package main

import (
	"fmt"
	"io"
	"time"

	"bathtender/hal/quantity"
	"bathtender/sim/report"
	"bathtender/sim/scenario"
)

// storyMarks head the lines of a story by how much they take away; they are
// told apart without colour.
var storyMarks = [...]string{scenario.Note: " ", scenario.World: ">", scenario.Found: "?", scenario.Hold: "~", scenario.Trip: "#"}

// tellLine prints one line of a story.
func tellLine(w io.Writer, l scenario.Line) {
	fmt.Fprintf(w, "%9s %s %s\n", report.Clock(l.At), storyMarks[l.Severity], l.Text)
}

// tellLegend explains the marks.
func tellLegend(w io.Writer) {
	fmt.Fprintln(w, "    clock > happens to the cabinet   ? found   ~ hold   # trip")
}

// tellSpeed prints how fast a run was.
func tellSpeed(w io.Writer, simulated, wall time.Duration) {
	fmt.Fprintf(w, "%s simulated in %.2f s: %.0f simulated seconds a wall second\n",
		quantity.FormatDuration(simulated), wall.Seconds(), simulated.Seconds()/max(wall.Seconds(), 1e-9))
}
