package bench

import "fmt"

// Place is where something stands: a script and its line and column, both from
// 1; the column counts characters.
type Place struct {
	Name         string
	Line, Column int
}

// String returns the place as FILE:LINE:COLUMN.
func (p Place) String() string { return fmt.Sprintf("%s:%d:%d", p.Name, p.Line, p.Column) }

// Problem is what is wrong with a statement, in one sentence with its place.
type Problem struct {
	At   Place
	Text string
}

// Error returns the place and the sentence.
func (p Problem) Error() string { return p.At.String() + ": " + p.Text }
