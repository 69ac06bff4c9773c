package tomlfile

import (
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2/unstable"

	"bathtender/hal/quantity"
)

// Need reads a quantity that must be there, from low to high.
func Need[Q ~int64](t *Table, key string, kind quantity.Kind[Q], low, high Q) Q {
	if t == nil {
		return 0
	}
	if !t.Has(key) {
		t.missing(key, "a "+kind.What()+" from "+kind.Format(low)+" to "+kind.Format(high))
		return 0
	}
	return Or(t, key, kind, 0, low, high)
}

// Or reads a quantity from low to high; where it is missing it is the one given.
func Or[Q ~int64](t *Table, key string, kind quantity.Kind[Q], missing, low, high Q) Q {
	it := t.ask(key)
	if it == nil {
		return missing
	}
	if it.kind != unstable.String {
		if it.kind == unstable.Array || len(it.tables) > 0 {
			t.complain(it, "%s in %s is not a %s, allowed is as in %s", it.said(), t.label, kind.What(), quantity.Quote(kind.Example()))
		} else {
			t.complain(it, "%s in %s has no unit or no quotes, allowed is a %s as in %s", it.said(), t.label, kind.What(), quantity.Quote(kind.Example()))
		}
		return missing
	}
	q, err := kind.Parse(it.text)
	switch {
	case err != nil:
		t.complain(it, "%s in %s: %s", it.key, t.label, err)
		return missing
	case q < low || q > high:
		t.complain(it, "%s in %s is out of range, allowed are %s to %s", it.said(), t.label, kind.Format(low), kind.Format(high))
		return missing
	}
	return q
}

// Integer reads a whole number from low to high; where it is missing it is the
// one given.
func (t *Table) Integer(key string, missing, low, high int) int {
	it := t.ask(key)
	if it == nil {
		return missing
	}
	n, err := strconv.ParseInt(strings.ReplaceAll(it.text, "_", ""), 0, 32)
	if it.kind != unstable.Integer || err != nil || int(n) < low || int(n) > high {
		t.complain(it, "%s in %s is not a whole number from %d to %d, allowed is as in %s = %d", it.said(), t.label, low, high, key, low)
		return missing
	}
	return int(n)
}

// NeedInteger reads a whole number that must be there.
func (t *Table) NeedInteger(key string, low, high int) int {
	if t != nil && !t.Has(key) {
		t.missing(key, "a whole number from "+strconv.Itoa(low)+" to "+strconv.Itoa(high))
		return 0
	}
	return t.Integer(key, 0, low, high)
}

// Truth reads true or false; where it is missing it is the one given.
func (t *Table) Truth(key string, missing bool) bool {
	it := t.ask(key)
	if it == nil {
		return missing
	}
	if it.kind != unstable.Bool {
		t.complain(it, "%s in %s is not a yes or no, allowed are true and false, without quotes", it.said(), t.label)
		return missing
	}
	return it.text == "true"
}

// NeedTruth reads true or false, which must be there.
func (t *Table) NeedTruth(key string) bool {
	if t != nil && !t.Has(key) {
		t.missing(key, "true or false")
		return false
	}
	return t.Truth(key, false)
}

// Text reads one line of text of 1 to the given number of characters; where it
// is missing it is empty.
func (t *Table) Text(key string, most int) string {
	it := t.ask(key)
	if it == nil {
		return ""
	}
	if it.kind != unstable.String {
		t.complain(it, "%s in %s is not text, allowed is text in quotes", it.said(), t.label)
		return ""
	}
	n := utf8.RuneCountInString(it.text)
	if n < 1 || n > most || strings.ContainsFunc(it.text, unicode.IsControl) || strings.TrimSpace(it.text) != it.text {
		t.complain(it, "%s in %s is not one line of text, allowed are 1 to %d characters, no space at either end", it.said(), t.label, most)
		return ""
	}
	return it.text
}

// NeedText reads text that must be there.
func (t *Table) NeedText(key string, most int) string {
	if t != nil && !t.Has(key) {
		t.missing(key, "text of 1 to "+strconv.Itoa(most)+" characters")
		return ""
	}
	return t.Text(key, most)
}

// Choice reads one of the given words; where it is missing it is the one given.
func (t *Table) Choice(key, missing string, words ...string) string {
	it := t.ask(key)
	if it == nil {
		return missing
	}
	if it.kind == unstable.String {
		for _, word := range words {
			if it.text == word {
				return word
			}
		}
	}
	t.complain(it, "%s in %s is not known, allowed are %s", it.said(), t.label, quotedList(words))
	return missing
}

// NeedChoice reads one of the given words, which must be there.
func (t *Table) NeedChoice(key string, words ...string) string {
	if t != nil && !t.Has(key) {
		t.missing(key, "one of "+quotedList(words))
		return ""
	}
	return t.Choice(key, "", words...)
}

func (t *Table) missing(key, allowed string) {
	t.file.Report(t.at, "%s is missing in %s, allowed is %s", key, t.label, allowed)
}

func quotedList(words []string) string {
	quoted := make([]string, len(words))
	for i, word := range words {
		quoted[i] = quantity.Quote(word)
	}
	return quantity.List(quoted)
}
