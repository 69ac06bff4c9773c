package tomlfile

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Position is a place in a file; lines and columns (in characters) count from 1.
type Position struct{ Line, Column int }

// Before reports whether p stands before q in the file.
func (p Position) Before(q Position) bool {
	return p.Line < q.Line || p.Line == q.Line && p.Column < q.Column
}

// Problem is one thing that is wrong with a file, as one sentence.
type Problem struct {
	File string
	At   Position
	Text string
}

// Error returns "FILE:LINE:COLUMN: sentence".
func (p Problem) Error() string {
	return fmt.Sprintf("%s:%d:%d: %s", p.File, p.At.Line, p.At.Column, p.Text)
}

// Problems are all that is wrong with a file, in the order of their places.
type Problems []Problem

// Error returns one problem a line.
func (p Problems) Error() string {
	lines := make([]string, len(p))
	for i := range p {
		lines[i] = p[i].Error()
	}
	return strings.Join(lines, "\n")
}

// Unwrap returns the problems one by one, for errors.Is and errors.As.
func (p Problems) Unwrap() []error {
	list := make([]error, len(p))
	for i := range p {
		list[i] = p[i]
	}
	return list
}

func (p Problems) sort() {
	slices.SortStableFunc(p, func(a, b Problem) int {
		return cmp.Or(cmp.Compare(a.At.Line, b.At.Line), cmp.Compare(a.At.Column, b.At.Column))
	})
}
