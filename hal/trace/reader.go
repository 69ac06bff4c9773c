package trace

import (
	"bufio"
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
)

// Reader reads a trace row by row. It never waits for more of its input than
// the row that is asked for, so that it can stand at the end of a pipe. After an
// error every further call returns the same error.
type Reader struct {
	name    string
	csv     *csv.Reader
	budget  *rowBudget
	columns []*column
	names   []string
	outputs []int // places of the columns of outputs
	pairs   []agePair
	banks   int // widest out_banks so far
	line    int
	err     error
	// hasRecord, hasKept and hasLines say that there is a column record_ok,
	// kept_ok, outputs_ok.
	hasRecord, hasKept, hasLines bool
}

// agePair is the places of an age and of the reading whose age it is.
type agePair struct{ age, reading int }

// NewReader returns a Reader of r and reads the header. The name is that of the
// file, for messages.
func NewReader(r io.Reader, name string) (*Reader, error) {
	budget := &rowBudget{from: r, left: rowBytesMost}
	input := bufio.NewReader(budget)
	if mark, _ := input.Peek(len(byteOrderMark)); bytes.Equal(mark, byteOrderMark) {
		input.Discard(len(byteOrderMark)) // they are in the buffer: no error
	}
	reader := &Reader{name: name, csv: csv.NewReader(input), budget: budget}
	reader.csv.ReuseRecord = true
	record, err := reader.csv.Read()
	if err == io.EOF {
		return nil, reader.at(1, 1, "the file is empty; expected a row of column names, with "+timeName+" among them")
	}
	if err != nil {
		return nil, reader.csvFault(record, err)
	}
	if reader.columns, err = pickNames(record); err != nil {
		place := 0
		if fault := (*nameError)(nil); errors.As(err, &fault) {
			place = fault.place
		}
		line, column := reader.csv.FieldPos(place)
		return nil, reader.at(line, column, err.Error())
	}
	reader.arrange()
	return reader, nil
}

var byteOrderMark = []byte("\ufeff")

// arrange notes the places of the columns that need more than their own field.
func (r *Reader) arrange() {
	at := make(map[string]int, len(r.columns))
	for i, c := range r.columns {
		at[c.name] = i
		r.names = append(r.names, c.name)
		if c.output {
			r.outputs = append(r.outputs, i)
		}
	}
	for i, c := range r.columns {
		if c.reading != "" {
			r.pairs = append(r.pairs, agePair{age: i, reading: at[c.reading]})
		}
	}
	r.line, _ = r.csv.FieldPos(0)
	_, r.hasRecord = at[recordName]
	_, r.hasKept = at[keptName]
	_, r.hasLines = at[linesName]
}

// Names returns the names of the columns, in order.
func (r *Reader) Names() []string { return append([]string(nil), r.names...) }

// Has reports whether there is a column of that name.
func (r *Reader) Has(name string) bool {
	for _, have := range r.names {
		if have == name {
			return true
		}
	}
	return false
}

// HasOutputs reports whether there is a column of an output.
func (r *Reader) HasOutputs() bool { return len(r.outputs) > 0 }

// HasAges reports whether there is a column of an age.
func (r *Reader) HasAges() bool { return len(r.pairs) > 0 }

// HasRequest reports whether there is a column of the request.
func (r *Reader) HasRequest() bool { return r.Has(requestName) }

// Layout returns a layout that writes the columns of this trace.
func (r *Reader) Layout() Layout { return Layout{Columns: r.Names()} }

// Name returns the name of the file.
func (r *Reader) Name() string { return r.name }

// Line returns the line, from 1, at which the last row began.
func (r *Reader) Line() int { return r.line }

// Next reads the next row into row, all of which it overwrites. At the end of
// the trace the error is io.EOF.
func (r *Reader) Next(row *Row) error {
	if r.err == nil {
		r.err = r.next(row)
	}
	return r.err
}

func (r *Reader) next(row *Row) error {
	r.budget.left = rowBytesMost
	record, err := r.csv.Read()
	if err == io.EOF {
		return err
	}
	if err != nil {
		return r.csvFault(record, err)
	}
	r.line, _ = r.csv.FieldPos(0)
	*row = Row{}
	row.RecordOK, row.KeptOK, row.OutputsOK = !r.hasRecord, !r.hasKept, !r.hasLines
	if row.HasOutputs, err = r.outputsIn(record); err != nil {
		return err
	}
	for i, c := range r.columns {
		text := record[i]
		if text == "" && (c.blank || c.output && !row.HasOutputs) {
			continue
		}
		if err := c.parse(row, text); err != nil {
			return r.atField(i, fmt.Sprintf("%s %s", quote(text), err))
		}
		if c.name == banksName {
			r.banks = max(r.banks, len(text))
		}
	}
	return r.checkAges(record)
}

// outputsIn reports whether the outputs of the row were recorded. Some of them
// alone is a fault: the empty ones would read as commanded off.
func (r *Reader) outputsIn(record []string) (bool, error) {
	empty, filled := -1, false
	for _, i := range r.outputs {
		if record[i] != "" {
			filled = true
		} else if empty < 0 {
			empty = i
		}
	}
	if filled && empty >= 0 {
		return false, r.atField(empty, "the field is empty, and other outputs of the row are not; expected all of them or none")
	}
	return filled, nil
}

// checkAges refuses a reading without its age, which would pass for fresh, and
// an age of no reading.
func (r *Reader) checkAges(record []string) error {
	for _, pair := range r.pairs {
		age, reading := record[pair.age], record[pair.reading]
		switch {
		case age == "" && reading != "":
			return r.atField(pair.age, fmt.Sprintf("the field is empty, and %s is %s; expected its age in seconds", r.names[pair.reading], reading))
		case age != "" && reading == "":
			return r.atField(pair.age, fmt.Sprintf("the age is %s, and %s is empty; expected no age where there is no reading", age, r.names[pair.reading]))
		}
	}
	return nil
}
