package main

import (
	"encoding/csv"
	"io"
	"strconv"

	"bathtender/firmware/journal"
	"bathtender/hal/trace"
)

// table writes records as a table, RFC 4180 but for its line ends, which are
// those of the traces.
type table struct {
	csv   *csv.Writer
	begun bool
}

func newTable(out io.Writer) *table { return &table{csv: csv.NewWriter(out)} }

// tableColumns are its columns. A field is empty where a record has nothing to
// say about it.
var tableColumns = []struct {
	name string
	of   func(e *journal.Entry) string
}{
	{"number", func(e *journal.Entry) string { return strconv.FormatUint(e.Seq, 10) }},
	{"wall_utc", func(e *journal.Entry) string { return e.Wall.UTC().Format("2006-01-02T15:04:05.000Z") }},
	{"mono_s", func(e *journal.Entry) string { return trace.FormatSeconds(e.Mono.Duration()) }},
	{"boot", func(e *journal.Entry) string { return strconv.FormatUint(uint64(e.Boot), 10) }},
	{"kind", func(e *journal.Entry) string { return string(e.Kind) }},
	{"function", ofTrip(func(t *journal.Trip) string { return t.Function })},
	{"place", ofTrip(func(t *journal.Trip) string { return number(float64(t.Place)) })},
	{"first_out", func(e *journal.Entry) string {
		switch {
		case e.Trip == nil || e.Kind != journal.TripKind && e.Kind != journal.LockoutKind:
			return ""
		case e.Trip.FirstOut:
			return "1"
		}
		return "0"
	}},
	{"recipe", func(e *journal.Entry) string { return e.Recipe }},
	{"minutes", ofSession(func(s *journal.SessionFact) float64 { return s.Minutes })},
	{"emission_min", ofSession(func(s *journal.SessionFact) float64 { return s.Emission })},
	{"energy_Wh", ofSession(func(s *journal.SessionFact) float64 { return s.Energy })},
	{"litres", func(e *journal.Entry) string {
		switch {
		case e.Session != nil:
			return number(e.Session.Litres)
		case e.Note != nil:
			return number(e.Note.Litres)
		}
		return ""
	}},
	{"window", ofTrip(func(t *journal.Trip) string { return t.Window })},
	{"text", func(e *journal.Entry) string { return e.Text }},
}

func ofTrip(of func(*journal.Trip) string) func(*journal.Entry) string {
	return func(e *journal.Entry) string {
		if e.Trip == nil {
			return ""
		}
		return of(e.Trip)
	}
}

// ofSession writes a number of a session; a 0 there is a fact.
func ofSession(of func(*journal.SessionFact) float64) func(*journal.Entry) string {
	return func(e *journal.Entry) string {
		if e.Session == nil {
			return ""
		}
		return strconv.FormatFloat(of(e.Session), 'f', -1, 64)
	}
}

func (t *table) put(r *record) error {
	if err := t.begin(); err != nil {
		return err
	}
	var row []string
	for _, c := range tableColumns {
		row = append(row, c.of(&r.entry))
	}
	return t.csv.Write(row)
}

func (t *table) begin() error {
	if t.begun {
		return nil
	}
	t.begun = true
	var names []string
	for _, c := range tableColumns {
		names = append(names, c.name)
	}
	return t.csv.Write(names)
}

// end writes the names of the columns of a table without rows too.
func (t *table) end() error {
	if err := t.begin(); err != nil {
		return err
	}
	t.csv.Flush()
	return t.csv.Error()
}

// number writes a number that is there, and nothing for a 0, which stands for
// none.
func number(value float64) string {
	if value == 0 {
		return ""
	}
	return strconv.FormatFloat(value, 'f', -1, 64)
}
