package trace

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"slices"
)

// An Option changes how a Writer writes.
type Option int

const (
	// EachRow flushes the header at once and every row when it is written, for
	// whoever waits at the other end for one row at a time.
	EachRow Option = iota + 1
)

// Writer writes a trace, buffered. After an error every further call returns
// the same error, and nothing of the refused row has been written.
type Writer struct {
	out     *bufio.Writer
	columns []*column
	line    []byte
	rows    int
	banks   int
	each    bool
	// keepsBanks and keepsEvents say that there is a column out_banks, events.
	keepsBanks, keepsEvents bool
	// ageless are the columns of readings whose age has no column.
	ageless []*column
	err     error
}

// NewWriter returns a Writer of rows of this layout and writes the header. An
// error says what about the layout makes no trace, or why out took no header.
func NewWriter(out io.Writer, layout Layout, options ...Option) (*Writer, error) {
	picked, err := layout.pick()
	if err != nil {
		return nil, err
	}
	w := &Writer{
		out: bufio.NewWriter(out), columns: picked, banks: layout.width(),
		each: slices.Contains(options, EachRow),
	}
	aged := map[string]bool{}
	for _, c := range picked {
		w.keepsBanks = w.keepsBanks || c.name == banksName
		w.keepsEvents = w.keepsEvents || c.name == eventsName
		aged[c.reading] = true
	}
	for i, c := range picked {
		if c.stale != nil && !aged[c.name] {
			w.ageless = append(w.ageless, c)
		}
		if i > 0 {
			w.line = append(w.line, ',')
		}
		w.line = append(w.line, c.name...)
	}
	return w, w.put()
}

// Write writes one row. It refuses a row of which the trace would lose
// something: a recipe name or events that CSV cannot carry, a bank beyond the
// width of out_banks, an age or events without a column.
func (w *Writer) Write(row *Row) error {
	if w.err != nil {
		return w.err
	}
	w.rows++
	if err := w.check(row); err != nil {
		w.err = fmt.Errorf("row %d at %s s: %w", w.rows, seconds.append(nil, int64(row.Time)), err)
		return w.err
	}
	w.line = w.line[:0]
	for i, c := range w.columns {
		if i > 0 {
			w.line = append(w.line, ',')
		}
		if !c.output || row.HasOutputs {
			w.line = c.append(w.line, row, w.banks)
		}
	}
	return w.put()
}

// put writes the line.
func (w *Writer) put() error {
	w.line = append(w.line, '\n')
	if _, err := w.out.Write(w.line); err != nil {
		w.err = fmt.Errorf("the trace could not be written: %w", err)
		return w.err
	}
	if w.each {
		return w.Flush()
	}
	return nil
}

// Flush hands everything written so far to the underlying writer.
func (w *Writer) Flush() error {
	if w.err != nil {
		return w.err
	}
	if err := w.out.Flush(); err != nil {
		w.err = fmt.Errorf("the trace could not be written: %w", err)
	}
	return w.err
}

// check says what the trace cannot hold of a row.
func (w *Writer) check(row *Row) error {
	if err := checkRequest(row.Request); err != nil {
		return err
	}
	if w.keepsBanks && row.HasOutputs {
		if err := checkBanks(row.Outputs.Banks, w.banks); err != nil {
			return err
		}
	}
	for _, c := range w.ageless {
		if c.stale(row) {
			return fmt.Errorf("%s has an age, and the layout has no column for it; without one it would read as fresh", c.name)
		}
	}
	if row.Events != "" && !w.keepsEvents {
		return errors.New("the row has events, and the layout has no column for them")
	}
	return checkEvents(row.Events)
}
