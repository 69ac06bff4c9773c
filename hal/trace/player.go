package trace

import (
	"bytes"
	"errors"
	"fmt"
	"math/bits"
	"strings"
	"time"

	"bathtender/hal"
)

// Player replays a trace as a hal.Board: Read gives its snapshots one after
// another, and Write compares the outputs with those recorded.
type Player struct {
	reader     *Reader
	row        Row
	decided    Row    // only its outputs
	was, is    []byte // one output as text, recorded and decided
	begun      bool
	compared   int
	difference *Difference
}

var _ hal.Board = (*Player)(nil)

// NewPlayer returns a Player of the rows that the reader has yet to read.
func NewPlayer(reader *Reader) *Player { return &Player{reader: reader} }

// Read fills in the snapshot of the next row; at the end of the trace the error
// is io.EOF.
func (p *Player) Read(snapshot *hal.Snapshot) error {
	p.begun = false
	if err := p.reader.Next(&p.row); err != nil {
		return err
	}
	p.begun = true
	*snapshot = p.row.Snapshot
	return nil
}

// Request returns the request of the row that was last read.
func (p *Player) Request() hal.Request { return p.row.Request }

// Row returns the row that was last read. It is overwritten by the next Read.
func (p *Player) Row() *Row { return &p.row }

// Write compares the outputs with those recorded in the row that was last read,
// as far as the trace has columns for them. A difference is not an error. There
// is an error if no row has been read.
func (p *Player) Write(outputs hal.Outputs) error {
	if !p.begun {
		return errors.New("the replay was given outputs before a snapshot was read; expected a read before each write")
	}
	if !p.row.HasOutputs {
		return nil
	}
	p.compared++
	if p.difference != nil || outputs == p.row.Outputs {
		return nil
	}
	// The outputs that differ may be ones that the trace has no column for.
	p.decided.Outputs = outputs
	width := max(p.reader.banks, bits.Len16(uint16(outputs.Banks)))
	for _, place := range p.reader.outputs {
		c := p.reader.columns[place]
		p.was, p.is = c.append(p.was[:0], &p.row, width), c.append(p.is[:0], &p.decided, width)
		if bytes.Equal(p.was, p.is) {
			continue
		}
		if p.difference == nil {
			p.difference = &Difference{File: p.reader.name, Line: p.reader.line, Time: p.row.Time}
		}
		p.difference.Outputs = append(p.difference.Outputs,
			OutputDifference{Column: c.name, Recorded: string(p.was), Decided: string(p.is)})
	}
	return nil
}

// Compared returns how many rows have had their recorded outputs compared. None
// means that nothing is known of any difference.
func (p *Player) Compared() int { return p.compared }

// Difference returns the first row where the outputs differ from those recorded,
// or nil where none has so far.
func (p *Player) Difference() *Difference { return p.difference }

// Difference is a row of a trace whose recorded outputs are not those decided in
// a replay.
type Difference struct {
	File string
	Line int           // at which the row begins, from 1
	Time time.Duration // of its snapshot
	// Outputs are those that differ, in the order of the columns.
	Outputs []OutputDifference
}

// OutputDifference is one output as it was recorded and as it was decided, both
// as a trace has it.
type OutputDifference struct{ Column, Recorded, Decided string }

// String returns the difference as a sentence.
func (d *Difference) String() string {
	var text strings.Builder
	fmt.Fprintf(&text, "%s:%d: at %s s ", d.File, d.Line, seconds.append(nil, int64(d.Time)))
	for i, one := range d.Outputs {
		if i > 0 {
			text.WriteString(", ")
		}
		fmt.Fprintf(&text, "%s was recorded as %s and is now %s", one.Column, one.Recorded, one.Decided)
	}
	return text.String()
}
