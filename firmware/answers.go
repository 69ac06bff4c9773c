package main

import (
	"fmt"
	"io"

	"bathtender/hal/board"
	"bathtender/hal/quantity"
)

// printAnswers prints which lines and sensors answer, as a table.
func printAnswers(w io.Writer, answers []board.Answer) {
	width, silent := 0, 0
	for _, a := range answers {
		width = max(width, len(a.Name))
		if !a.OK {
			silent++
		}
	}
	for _, a := range answers {
		mark := "answers"
		if !a.OK {
			mark = "SILENT "
		}
		fmt.Fprintf(w, "  %-*s  %s  %s\n", width, a.Name, mark, a.Text)
	}
	if silent == 0 {
		fmt.Fprintf(w, "all %s answer\n", quantity.Count(len(answers), "line and sensor"))
		return
	}
	fmt.Fprintf(w, "%d of %d do not answer: what depends on them will not be permitted\n", silent, len(answers))
}
