package trace

import (
	"fmt"
	"math"
	"time"

	"bathtender/hal"
)

// A column is all that the package knows of one column of a trace.
type column struct {
	name  string
	about string // for the sidecar
	unit  string // as the sidecar has it, empty for none
	base  string // datatype of the sidecar
	shape string // format of the datatype, empty for any
	// reading names the column that holds the value, in a column of its age.
	reading string
	// fan is the number of the fan, from 1, whose column this is; else 0.
	fan int
	// blank says that an empty field is allowed, and leaves the row as it is.
	blank bool
	// output says that the column is one of the outputs.
	output bool
	// parse puts the text of a field into the row. Its error is the rest of a
	// sentence that begins with the text.
	parse func(row *Row, text string) error
	// append adds the field of the row to dst. Banks is how wide out_banks is.
	append func(dst []byte, row *Row, banks int) []byte
	// stale reports that the row has a reading with an age other than 0.
	stale func(row *Row) bool
}

// parseUnit returns the integer of a decimal of the unit, or the rest of a sentence.
func (s scale) parseUnit(text, unit string) (int64, error) {
	value, err := s.parse(text)
	switch err {
	case nil:
		return value, nil
	case errNotNumber:
		err = fmt.Errorf("is not a number; expected a decimal of %s with at most %d decimals", unit, s.places)
	case errTooFine:
		err = fmt.Errorf("has too many decimals; expected a decimal of %s with at most %d decimals", unit, s.places)
	default:
		err = fmt.Errorf("is out of range; expected %s from %s to %s", unit,
			s.append(nil, math.MinInt64), s.append(nil, math.MaxInt64))
	}
	return 0, err
}

// seconds is the scale of time.Duration.
var seconds = scale{places: 9}

// FormatSeconds returns a time as a trace has it: an exact decimal of seconds,
// "1714.4".
func FormatSeconds(d time.Duration) string { return string(seconds.append(nil, int64(d))) }

// timeColumn describes a column of time; at says where it stands in a row.
func timeColumn(name, about string, at func(*Row) *time.Duration) column {
	return column{
		name: name, about: about, unit: "s", base: "decimal",
		parse: func(row *Row, text string) error {
			value, err := seconds.parseUnit(text, "seconds")
			*at(row) = time.Duration(value)
			return err
		},
		append: func(dst []byte, row *Row, _ int) []byte {
			return seconds.append(dst, int64(*at(row)))
		},
	}
}

// A quantity is a unit of a reading.
type quantity struct {
	scale
	symbol, words string
}

// readingColumns describes a reading and its age: NAME_UNIT and AGE_age_s.
func readingColumns[Q ~int64](name, ageName, about string, unit quantity, at func(*Row) *hal.Reading[Q]) (value, age column) {
	value = column{
		name: name, about: about, unit: unit.symbol, base: "decimal", blank: true,
		parse: func(row *Row, text string) error {
			value, err := unit.parseUnit(text, unit.words)
			reading := at(row)
			reading.Value, reading.Valid = Q(value), err == nil
			return err
		},
		append: func(dst []byte, row *Row, _ int) []byte {
			reading := at(row)
			if !reading.Valid {
				return dst
			}
			return unit.append(dst, int64(reading.Value))
		},
		stale: func(row *Row) bool { return at(row).Valid && at(row).Age != 0 },
	}
	age = timeColumn(ageName, "age of "+name+" at the snapshot", func(row *Row) *time.Duration { return &at(row).Age })
	age.blank, age.reading = true, name
	appendAge := age.append
	age.append = func(dst []byte, row *Row, banks int) []byte {
		if !at(row).Valid {
			return dst
		}
		return appendAge(dst, row, banks)
	}
	return value, age
}

// parseBit returns the bool of 0 or 1.
func parseBit(text string) (bool, error) {
	switch text {
	case "0":
		return false, nil
	case "1":
		return true, nil
	}
	return false, fmt.Errorf("is neither 0 nor 1; expected one of them")
}

// appendBit adds 0 or 1 to dst.
func appendBit(dst []byte, bit bool) []byte {
	if bit {
		return append(dst, '1')
	}
	return append(dst, '0')
}

// bitColumn describes a column of 0 and 1.
func bitColumn(name, about string, at func(*Row) *bool) column {
	return column{
		name: name, about: about, base: "boolean", shape: "1|0",
		parse: func(row *Row, text string) error {
			bit, err := parseBit(text)
			*at(row) = bit
			return err
		},
		append: func(dst []byte, row *Row, _ int) []byte { return appendBit(dst, *at(row)) },
	}
}

// contactColumn describes a contact: 1 closed, 0 open, empty absent.
func contactColumn(name, about string, at func(*Row) *hal.Contact) column {
	return column{
		name: name, about: about, base: "boolean", shape: "1|0", blank: true,
		parse: func(row *Row, text string) error {
			bit, err := parseBit(text)
			if err != nil {
				return fmt.Errorf("is neither 0 nor 1; expected 1 for closed, 0 for open, or nothing for an absent contact")
			}
			*at(row) = hal.ContactOf(bit)
			return nil
		},
		append: func(dst []byte, row *Row, _ int) []byte {
			// Whatever is neither open nor closed is not safe, so absent says it.
			switch *at(row) {
			case hal.Closed:
				return append(dst, '1')
			case hal.Open:
				return append(dst, '0')
			}
			return dst
		},
	}
}
