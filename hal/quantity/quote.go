package quantity

import (
	"strconv"
	"strings"
	"unicode/utf8"
)

// quoteMax is the most of a value that a message repeats.
const quoteMax = 60

// Quote returns a value in quotes for a message: on one line whatever it holds,
// and cut where it is very long.
func Quote(text string) string {
	if len(text) > quoteMax {
		cut := quoteMax
		for cut > 0 && !utf8.RuneStart(text[cut]) {
			cut--
		}
		text = text[:cut] + "..."
	}
	return strconv.Quote(text)
}

// List joins names as a sentence does: a, b and c.
func List(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + " and " + names[last]
}

// Count returns a number of things in words: "1 record", "2 records".
func Count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return strconv.Itoa(n) + " " + thing + "s"
}
