package trace

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strconv"

	words "bathtender/hal/quantity"
)

// at returns a sentence about a place in the file.
func (r *Reader) at(line, column int, sentence string) error {
	return fmt.Errorf("%s:%d:%d: %s", r.name, line, column, sentence)
}

// atField returns a sentence about a field of the last row.
func (r *Reader) atField(place int, sentence string) error {
	line, column := r.csv.FieldPos(place)
	return r.at(line, column, "column "+r.columns[place].name+": "+sentence)
}

// csvFault returns a sentence about an error of the CSV reader, which has read
// this much of the row.
func (r *Reader) csvFault(record []string, err error) error {
	var fault *csv.ParseError
	if !errors.As(err, &fault) {
		if errors.Is(err, errRowTooLong) {
			return fmt.Errorf("%s: the row after line %d has more than %d bytes; expected a line end before", r.name, r.line, rowBytesMost)
		}
		return fmt.Errorf("%s: the trace could not be read: %w", r.name, err)
	}
	switch fault.Err {
	case csv.ErrFieldCount:
		return r.at(fault.Line, 1, fmt.Sprintf("the row has %s; expected %d, one for each column name",
			words.Count(len(record), "field"), len(r.columns)))
	case csv.ErrBareQuote:
		return r.at(fault.Line, fault.Column, `a quote stands inside a field that does not begin with one; `+
			`expected the field in quotes and each quote inside it doubled`)
	case csv.ErrQuote:
		return r.at(fault.Line, fault.Column, `a quoted field does not end with its closing quote; `+
			`expected the field in quotes and each quote inside it doubled`)
	}
	return r.at(fault.Line, fault.Column, fault.Err.Error())
}

// quotedMost is how much of a field a message shows, in bytes.
const quotedMost = 60

// quote returns the text in quotes for a message, cut where it is long.
func quote(text string) string {
	if len(text) > quotedMost {
		return strconv.Quote(text[:quotedMost]) + fmt.Sprintf(" and %d bytes more", len(text)-quotedMost)
	}
	return strconv.Quote(text)
}

// rowBytesMost bounds one row, so that a file without line ends cannot fill the
// memory. A row of all columns at their widest has under 2000 bytes, its recipe
// name and its events aside.
const rowBytesMost = 1 << 20

var errRowTooLong = errors.New("row too long")

// rowBudget passes on no more bytes than are left for the row that is being
// read. The buffer after it reads ahead, which only makes the bound looser.
type rowBudget struct {
	from io.Reader
	left int
}

func (b *rowBudget) Read(p []byte) (int, error) {
	if b.left <= 0 {
		return 0, errRowTooLong
	}
	n, err := b.from.Read(p[:min(len(p), b.left)])
	b.left -= n
	return n, err
}
