package main

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"bathtender/firmware/journal"
)

// choice is which records are wanted. All that is set must fit.
type choice struct {
	kinds        []journal.Kind
	since, until time.Time // until is the first moment that is too late; zero for none
	boot         uint64    // 0 for any
	text         string    // in small letters
}

// newChoice returns the choice of the flags. Text is what stands in since and
// until; the error is a sentence about one of them.
func newChoice(kinds, since, until, text string, boot uint64, now time.Time, zone *time.Location) (choice, error) {
	c := choice{boot: boot, text: folded(text)}
	if kinds != "" {
		list, err := parseKinds(kinds, journal.Kinds())
		if err != nil {
			return c, err
		}
		c.kinds = list
	}
	if since != "" {
		begins, _, err := parseMoment(since, now, zone)
		if err != nil {
			return c, fmt.Errorf("since %w", err)
		}
		c.since = begins
	}
	if until != "" {
		_, ends, err := parseMoment(until, now, zone)
		if err != nil {
			return c, fmt.Errorf("until %w", err)
		}
		c.until = ends
	}
	if since != "" && until != "" && !c.since.Before(c.until) {
		return c, fmt.Errorf("since %q is not before until %q, so nothing can lie between them", since, until)
	}
	return c, nil
}

// everything reports whether every record fits.
func (c *choice) everything() bool {
	return c.kinds == nil && c.since.IsZero() && c.until.IsZero() && c.boot == 0 && c.text == ""
}

// fits reports whether a record is wanted.
func (c *choice) fits(e *journal.Entry) bool {
	switch {
	case c.kinds != nil && !slices.Contains(c.kinds, e.Kind),
		!c.since.IsZero() && e.Wall.Time.Before(c.since),
		!c.until.IsZero() && !e.Wall.Time.Before(c.until),
		c.boot != 0 && uint64(e.Boot) != c.boot:
		return false
	}
	if c.text == "" || strings.Contains(folded(e.Text), c.text) || strings.Contains(folded(e.Recipe), c.text) {
		return true
	}
	return e.Trip != nil && strings.Contains(folded(e.Trip.Function), c.text)
}

// folded returns a text in small letters, with one space between words.
func folded(text string) string { return strings.Join(strings.Fields(strings.ToLower(text)), " ") }
