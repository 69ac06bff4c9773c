package trace

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"math/bits"
	"slices"
)

// An Option changes how a Writer writes.
type Option int

const (
	// EachRow flushes the header at once and every row when it is written, for
	// whoever waits at the other end for one row at a time.
	EachRow Option = iota + 1
	// Events adds a last column, events, of quoted text; see WriteEvents. A
	// Reader does not know that column.
	Events
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
	events  bool
	// keepsBanks says that there is a column out_banks.
	keepsBanks bool
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
		each: slices.Contains(options, EachRow), events: slices.Contains(options, Events),
	}
	aged := map[string]bool{}
	for _, c := range picked {
		w.keepsBanks = w.keepsBanks || c.name == banksName
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
	if w.events {
		w.line = append(w.line, ",events"...)
	}
	return w, w.put()
}

// Write writes one row. It refuses a row of which the trace would lose
// something that the layout has a column for: a recipe name that CSV cannot
// carry, a bank beyond the width of out_banks, an age without a column.
func (w *Writer) Write(row *Row) error { return w.WriteEvents(row, "") }

// WriteEvents writes one row with the text of its events, which may have
// several lines and is always quoted. Only a Writer with Events takes a text.
func (w *Writer) WriteEvents(row *Row, events string) error {
	if w.err != nil {
		return w.err
	}
	w.rows++
	if err := w.check(row, events); err != nil {
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
	if w.events {
		w.line = append(w.line, `,"`...)
		w.line = append(appendDoubled(w.line, events), '"')
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
func (w *Writer) check(row *Row, events string) error {
	if err := checkRequest(row.Request); err != nil {
		return err
	}
	if used := bits.Len16(uint16(row.Outputs.Banks)); w.keepsBanks && row.HasOutputs && used > w.banks {
		return fmt.Errorf("bank %d is commanded, and %s holds %d banks", used, banksName, w.banks)
	}
	for _, c := range w.ageless {
		if c.stale(row) {
			return fmt.Errorf("%s has an age, and the layout has no column for it; without one it would read as fresh", c.name)
		}
	}
	if events != "" && !w.events {
		return errors.New("the row has events, and the layout has no column for them")
	}
	return nil
}
