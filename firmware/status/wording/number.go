package wording

import (
	"math"
	"strconv"
	"strings"
	"time"
	"unicode"

	"bathtender/hal/quantity"
)

// Unknown stands for what is not known.
const Unknown = "-"

// Number writes a number with a count of decimals and its unit; Unknown for none.
func Number(v *float64, places int, unit string) string {
	if !known(v) {
		return Unknown
	}
	return Value(*v, places, unit)
}

// Value writes a number that should be known: Unknown if it is none after all.
func Value(v float64, places int, unit string) string {
	if !finite(v) {
		return Unknown
	}
	text := strconv.FormatFloat(v, 'f', places, 64)
	if len(text) > 12 { // no reading of a tank has so many digits
		text = strconv.FormatFloat(v, 'e', 2, 64)
	}
	if strings.Trim(text, "-0.") == "" {
		text = strings.TrimPrefix(text, "-")
	}
	if unit != "" {
		text += " " + unit
	}
	return text
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

func known(v *float64) bool { return v != nil && finite(*v) }

// longest bounds a time that is told, in seconds: a century.
const longest = 100 * 365.25 * 24 * 3600

// Seconds tells a time in its two longest parts, to the second: "8 min 20 s".
func Seconds(v float64) string {
	if !finite(v) || v < 0 || v > longest {
		return Unknown
	}
	d := time.Duration(math.Round(v)) * time.Second
	if d < time.Minute {
		return strconv.Itoa(int(d/time.Second)) + " s"
	}
	if d >= 48*time.Hour {
		return quantity.Count(int(d/(24*time.Hour)), "day")
	}
	return quantity.FormatDuration(d)
}

// Hours tells a time that is known in hours.
func Hours(v *float64) string {
	if !known(v) {
		return Unknown
	}
	return Seconds(*v * 3600)
}

// Plain puts a text on one line, without what cannot be printed, and "-" for an
// empty one.
func Plain(text string) string {
	text = strings.Join(strings.Fields(strings.Map(func(c rune) rune {
		switch {
		case unicode.IsSpace(c):
			return ' '
		case c == unicode.ReplacementChar || !unicode.IsPrint(c):
			return -1
		}
		return c
	}, strings.ToValidUTF8(text, ""))), " ")
	if text == "" {
		return Unknown
	}
	return text
}
