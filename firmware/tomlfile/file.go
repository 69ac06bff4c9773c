package tomlfile

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	toml "github.com/pelletier/go-toml/v2"

	"bathtender/hal/quantity"
)

// sizeMax is far more than a file written by hand can need.
const sizeMax = 1 << 20

// File is a TOML file being read.
type File struct {
	name     string
	root     *Table
	problems Problems
	lines    []int // where each line starts
	data     []byte
}

// Parse takes a TOML file apart. The name is only used in messages. The error
// is a Problems with the first mistake in the file's syntax.
func Parse(name string, data []byte) (*File, error) {
	f := &File{name: name}
	if len(data) > sizeMax {
		f.Report(Position{1, 1}, "the file is %d bytes long, allowed are at most %d", len(data), sizeMax)
		return nil, f.problems
	}
	// Some editors put a byte order mark in front of a file.
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	f.data = data
	f.lines = []int{0}
	for i, c := range data {
		if c == '\n' {
			f.lines = append(f.lines, i+1)
		}
	}
	if err := f.checkSyntax(); err != nil {
		return nil, err
	}
	if err := f.build(); err != nil {
		return nil, err
	}
	return f, nil
}

// checkSyntax lets the TOML library judge the whole file, keys that appear twice
// included, before its parts are looked at.
func (f *File) checkSyntax() error {
	var all map[string]any
	err := toml.Unmarshal(f.data, &all)
	if err == nil {
		return nil
	}
	at := Position{1, 1}
	if de := (*toml.DecodeError)(nil); errors.As(err, &de) {
		line, column := de.Position()
		at = f.place(line, column)
	}
	said := strings.TrimPrefix(err.Error(), "toml: ")
	f.Report(at, "the line %s is not TOML: %s, allowed is as in %s",
		quantity.Quote(f.lineText(at.Line)), oneLine(said), `limit = "62 degC"`)
	return f.problems
}

// Root returns the table of the keys that stand before any table's header.
func (f *File) Root() *Table { return f.root }

// Name returns the file's name as messages show it.
func (f *File) Name() string { return f.name }

// Report adds a problem.
func (f *File) Report(at Position, format string, args ...any) {
	f.problems = append(f.problems, Problem{f.name, at, fmt.Sprintf(format, args...)})
}

// Err ends the reading: it adds the keys that nobody asked for, and returns all
// problems as a Problems in order, or nil.
func (f *File) Err() error {
	f.root.reportUnknown()
	if len(f.problems) == 0 {
		return nil
	}
	f.problems.sort()
	return f.problems
}

// place turns a line and a column in bytes into a Position in characters.
func (f *File) place(line, column int) Position {
	if line < 1 || line > len(f.lines) {
		return Position{1, 1}
	}
	start := f.lines[line-1]
	end := min(start+max(column-1, 0), len(f.data))
	return Position{line, utf8.RuneCount(f.data[start:end]) + 1}
}

// lineText returns a line without its end.
func (f *File) lineText(line int) string {
	if line < 1 || line > len(f.lines) {
		return ""
	}
	text, _, _ := bytes.Cut(f.data[f.lines[line-1]:], []byte("\n"))
	return strings.TrimSpace(string(text))
}

func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }
