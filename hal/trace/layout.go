package trace

import (
	"errors"
	"fmt"

	"bathtender/hal"
	words "bathtender/hal/quantity"
)

// Layout says which columns a Writer writes. What has no column is not kept;
// the package documentation says what a missing column reads as.
//
// Without Columns these are, in this order, the time, the three probes, the
// meter, the fans, the contacts, record_ok, kept_ok and outputs_ok, the ages, the
// request, the outputs and the events.
type Layout struct {
	// Fans is how many fans have a column, 0 to hal.MaxFans.
	Fans int
	// Banks is how wide out_banks is, 0 to hal.MaxBanks; with 0 there is no
	// such column, or with Columns one of hal.MaxBanks.
	Banks int
	// Ages asks for the age of every reading. Without it a row with a reading
	// that has an age is refused: read back it would pass for fresh.
	Ages bool
	// Outputs asks for the outputs.
	Outputs bool
	// Events asks for what happened, in sentences. A row with events is refused
	// without it.
	Events bool
	// Columns, where it is not nil, is exactly the columns to write in this
	// order, and takes the place of Fans, Ages, Outputs and Events.
	Columns []string
}

// Names returns the names of the columns, in order. An error says what about
// the layout makes no trace.
func (l Layout) Names() ([]string, error) {
	picked, err := l.pick()
	if err != nil {
		return nil, err
	}
	names := make([]string, len(picked))
	for i, c := range picked {
		names[i] = c.name
	}
	return names, nil
}

// pick returns the columns of the layout.
func (l Layout) pick() ([]*column, error) {
	if l.Fans < 0 || l.Fans > hal.MaxFans {
		return nil, fmt.Errorf("the layout has %d fans; expected 0 to %d", l.Fans, hal.MaxFans)
	}
	if l.Banks < 0 || l.Banks > hal.MaxBanks {
		return nil, fmt.Errorf("the layout has %d banks; expected 0 to %d", l.Banks, hal.MaxBanks)
	}
	if l.Columns != nil {
		return pickNames(l.Columns)
	}
	var picked []*column
	for i := range columns {
		if c := &columns[i]; l.has(c) {
			picked = append(picked, c)
		}
	}
	return picked, nil
}

// has reports whether the layout, one without Columns, has the column.
func (l Layout) has(c *column) bool {
	switch {
	case c.fan > l.Fans:
		return false
	case c.reading != "":
		return l.Ages
	case c.name == banksName:
		return l.Outputs && l.Banks > 0
	case c.output:
		return l.Outputs
	case c.name == eventsName:
		return l.Events
	}
	return true
}

// width is how wide out_banks is.
func (l Layout) width() int {
	if l.Banks == 0 {
		return hal.MaxBanks
	}
	return l.Banks
}

// nameError is what is wrong with a row of column names: the place of the name,
// from 0, and a sentence.
type nameError struct {
	place int
	text  string
}

func (e *nameError) Error() string { return e.text }

// pickNames returns the columns of these names, which must make a trace.
func pickNames(names []string) ([]*column, error) {
	picked := make([]*column, len(names))
	seen := make(map[string]int, len(names))
	for i, name := range names {
		if picked[i] = columnNamed(name); picked[i] == nil {
			return nil, &nameError{i, unknownColumn(name)}
		}
		if first, twice := seen[name]; twice {
			return nil, &nameError{i, fmt.Sprintf("column %s stands at places %d and %d; expected each column once", name, first+1, i+1)}
		}
		seen[name] = i
	}
	if _, found := seen[timeName]; !found {
		return nil, errors.New("there is no column " + timeName + ", which every trace must have")
	}
	for i, c := range picked {
		if c.reading == "" {
			continue
		}
		if _, found := seen[c.reading]; !found {
			return nil, &nameError{i, fmt.Sprintf("column %s is the age of column %s, which is missing", c.name, c.reading)}
		}
	}
	return picked, nil
}

func unknownColumn(name string) string {
	if near := words.Nearest(name, columnNames()); near != "" {
		return fmt.Sprintf("unknown column %s; did you mean %s?", quote(name), near)
	}
	return fmt.Sprintf("unknown column %s; no column of a trace has a name like it", quote(name))
}
