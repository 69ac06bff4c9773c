package tomlfile

import "fmt"

// Ref is a value of the file, to be named in a contradiction.
type Ref struct {
	table   *Table
	key     string
	missing string // what counts where the key is missing
}

// Ref returns a value of the table. Where its key may be missing, default_ says
// what counts then, as text.
func (t *Table) Ref(key string, default_ ...string) Ref {
	r := Ref{table: t, key: key}
	if len(default_) > 0 {
		r.missing = default_[0]
	}
	return r
}

// known reports whether there is a value at all that was not already reported.
func (r Ref) known() bool {
	if r.table == nil {
		return false
	}
	it := r.table.find(r.key)
	if it == nil {
		return r.missing != ""
	}
	return !it.bad
}

// at returns where the value stands; nowhere for one that is missing.
func (r Ref) at() Position {
	it := r.table.find(r.key)
	if it == nil {
		return Position{}
	}
	if it.value != (Position{}) {
		return it.value
	}
	return it.at
}

func (r Ref) String() string {
	it := r.table.find(r.key)
	if it == nil {
		return fmt.Sprintf("%s %q (what counts when it is not given)", r.key, r.missing)
	}
	return it.said() + " in " + r.table.label
}

// Good reports whether the key's value is there, or need not be, and no problem
// with it was reported.
func (t *Table) Good(keys ...string) bool {
	if t == nil {
		return false
	}
	for _, key := range keys {
		if it := t.find(key); it == nil || it.bad {
			return false
		}
	}
	return true
}

// Contradict reports that two values do not go together: "a SAYING b, ALLOWED".
// The problem stands at the later one and names the line of the other. It says
// nothing where one of them is already reported.
func (f *File) Contradict(a Ref, saying string, b Ref, allowed string) {
	if !a.known() || !b.known() {
		return
	}
	first, second := a.String(), b.String()
	at := a.at()
	switch later := b.at(); {
	case at.Before(later):
		if at != (Position{}) {
			first += fmt.Sprintf(" (line %d)", at.Line)
		}
		at = later
	case later != (Position{}):
		second += fmt.Sprintf(" (line %d)", later.Line)
	}
	if at == (Position{}) {
		at = a.table.At()
	}
	f.Report(at, "%s %s %s, %s", first, saying, second, allowed)
}
