package main

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"bathtender/hal/quantity"
)

// momentForms are the forms of a date or a date and time, and what each of them
// names.
var momentForms = []struct {
	layout string
	whole  func(time.Time) time.Time // the end of it
}{
	{"2006-01-02", func(t time.Time) time.Time { return t.AddDate(0, 0, 1) }},
	{"2006-01-02 15:04", func(t time.Time) time.Time { return t.Add(time.Minute) }},
	{"2006-01-02 15:04:05", func(t time.Time) time.Time { return t.Add(time.Second) }},
	{"2006-01-02T15:04", func(t time.Time) time.Time { return t.Add(time.Minute) }},
	{"2006-01-02T15:04:05", func(t time.Time) time.Time { return t.Add(time.Second) }},
}

// daysMost bounds a time back that is given in days.
const daysMost = 36500

// parseMoment reads a date, a date and time in the zone, or a time back from now.
// It returns when what is named begins and ends: a date is a whole day, 14:30 the
// whole minute.
func parseMoment(text string, now time.Time, zone *time.Location) (begins, ends time.Time, err error) {
	text = strings.TrimSpace(text)
	for _, form := range momentForms {
		if t, err := time.ParseInLocation(form.layout, text, zone); err == nil && len(text) == len(form.layout) {
			return t, form.whole(t), nil
		}
	}
	if days, ok := parseDays(text); ok {
		t := now.In(zone).AddDate(0, 0, -days)
		return t, t, nil
	}
	if d, err := quantity.ParseDuration(text); err == nil && d > 0 {
		t := now.Add(-d)
		return t, t, nil
	}
	return now, now, fmt.Errorf("%s is not a time; allowed are a date as in 2026-01-31, a date and time as in \"2026-01-31 14:30\", "+
		"and a time back as in \"7 days\" or \"36 h\"", quantity.Quote(text))
}

// parseDays reads "1 day", "7 days" or "2 weeks".
func parseDays(text string) (int, bool) {
	digits, unit, _ := strings.Cut(text, " ")
	n, err := strconv.ParseUint(digits, 10, 16)
	if err != nil || n < 1 {
		return 0, false
	}
	days := int(n)
	switch strings.TrimSpace(unit) {
	case "day", "days":
	case "week", "weeks":
		days *= 7
	default:
		return 0, false
	}
	return days, days <= daysMost
}
