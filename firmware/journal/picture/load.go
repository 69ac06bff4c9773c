package picture

import (
	"bytes"
	"encoding/csv"
	"io"
	"slices"
	"strings"

	"bathtender/hal/trace"
)

// Load takes the rows of a trace into the sheet, and how many fans and banks it
// is of. The error says what is wrong with the trace; the rows before it are
// taken all the same, since a trace that was being written when the power went
// may end anywhere.
func (s *Sheet) Load(data []byte, name string) error {
	reader, err := trace.NewReader(bytes.NewReader(data), name)
	if err != nil {
		return err
	}
	for _, column := range reader.Names() {
		if strings.HasPrefix(column, "fan_") && strings.HasSuffix(column, "_rpm") {
			s.Fans++
		}
	}
	s.Banks = max(s.Banks, banksOf(data, reader.Names()))
	for {
		var row trace.Row
		switch err := reader.Next(&row); err {
		case nil:
			s.Rows = append(s.Rows, row)
		case io.EOF:
			return nil
		default:
			return err
		}
	}
}

// banksOf returns how wide out_banks is in the first row; a row holds no more
// than the banks that are on.
func banksOf(data []byte, names []string) int {
	column := slices.Index(names, "out_banks")
	if column < 0 {
		return 0
	}
	fields := csv.NewReader(bytes.NewReader(data))
	if _, err := fields.Read(); err != nil {
		return 0
	}
	first, err := fields.Read()
	if err != nil || len(first) <= column {
		return 0
	}
	return len(first[column])
}
