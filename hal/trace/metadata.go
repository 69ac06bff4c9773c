package trace

import (
	"errors"
	"fmt"
	"regexp"
	"time"
	"unicode/utf8"
)

// Origin says what made a trace.
type Origin string

// Origins of a trace.
const (
	Synthetic Origin = "synthetic" // the modelled plant
	Bench     Origin = "bench"     // real parts, without a bath at work
	Tank      Origin = "tank"      // a real tank at work
)

// Metadata says where a trace comes from.
type Metadata struct {
	Origin  Origin
	Program string // version of the program that made the trace
	Machine string // fingerprint of the machine file
	// Tick is the time from one row to the next, more than 0.
	Tick time.Duration
	// Seed is what the randomness of a synthetic trace came from; 0 for others.
	Seed uint64
	// Created is when the trace was made, in UTC; the zero time where nobody
	// said. This package has no clock.
	Created time.Time

	// What follows is that of a trace which begins in the middle of a run, such
	// as a black-box window. With it the trace can be replayed from its first row
	// with the same decisions.

	// State is what the supervisor remembered before the first row, as one line
	// of printable ASCII; empty for a program that has just started.
	State string
	// Recipes are the fingerprints of the recipe files, 8 to 64 digits of
	// lower-case hexadecimal, in the order in which the program had the files. A
	// state knows a recipe by its place alone.
	Recipes []string
	// Trip names the record that the trace belongs to, such as "record 17", in
	// printable ASCII; empty for none.
	Trip string
}

// fingerprintForm is a fingerprint of a recipe file.
var fingerprintForm = regexp.MustCompile("^[0-9a-f]{8,64}$")

// printable reports whether a text is one line of printable ASCII.
func printable(text string) bool {
	for i := range len(text) {
		if text[i] < ' ' || text[i] > '~' {
			return false
		}
	}
	return true
}

// check says what is wrong with the metadata.
func (m Metadata) check() error {
	switch m.Origin {
	case Synthetic, Bench, Tank:
	default:
		return fmt.Errorf("the origin is %q; expected %s, %s or %s", m.Origin, Synthetic, Bench, Tank)
	}
	if m.Program == "" {
		return errors.New("the program version is empty; expected the version of the program that made the trace")
	}
	if m.Machine == "" {
		return errors.New("the machine file fingerprint is empty; expected that of the machine file in use")
	}
	if !utf8.ValidString(m.Program) || !utf8.ValidString(m.Machine) {
		return errors.New("the program version or the machine file fingerprint is not UTF-8; expected text in UTF-8")
	}
	if m.Tick <= 0 {
		return fmt.Errorf("the tick is %s s; expected more than 0 s", seconds.append(nil, int64(m.Tick)))
	}
	if m.Origin != Synthetic && m.Seed != 0 {
		return fmt.Errorf("the seed is %d with the origin %s; expected a seed only with the origin %s", m.Seed, m.Origin, Synthetic)
	}
	for _, text := range []struct{ name, value string }{{noteState, m.State}, {noteTrip, m.Trip}} {
		if !printable(text.value) {
			return fmt.Errorf("the text of %q is %s; expected one line of printable ASCII", text.name, quote(text.value))
		}
	}
	for _, fingerprint := range m.Recipes {
		if !fingerprintForm.MatchString(fingerprint) {
			return fmt.Errorf("the recipe file fingerprint is %s; expected 8 to 64 digits of lower-case hexadecimal", quote(fingerprint))
		}
	}
	if year := m.Created.UTC().Year(); year < 1 || year > 9999 {
		return fmt.Errorf("the year of creation is %d; expected 1 to 9999", year)
	}
	return nil
}
