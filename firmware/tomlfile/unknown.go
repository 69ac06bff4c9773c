package tomlfile

import (
	"slices"

	"bathtender/hal/quantity"
)

// reportUnknown reports the keys that nobody asked for, here and below.
func (t *Table) reportUnknown() {
	for _, it := range t.items {
		if !slices.Contains(t.asked, it.key) {
			t.file.Report(it.at, "key %s in %s is not known, %s", quantity.Quote(it.key), t.label, t.suggestion(it.key))
			continue
		}
		if it.bad {
			continue // its tables were never read
		}
		for _, inner := range it.tables {
			inner.reportUnknown()
		}
	}
}

// suggestion names the nearest known key, or all where none is near.
func (t *Table) suggestion(key string) string {
	known := slices.Clone(t.asked)
	slices.Sort(known)
	known = slices.Compact(known)
	if len(known) == 0 {
		return "no key is allowed here"
	}
	nearest := quantity.Nearest(key, known)
	if nearest != "" {
		return "the nearest allowed key is " + quantity.Quote(nearest)
	}
	if len(known) == 1 {
		return "allowed is " + known[0]
	}
	return "allowed are " + quantity.List(known)
}
