package tomlfile

import (
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"

	"bathtender/hal/quantity"
)

// Table is one table of a file. A nil Table stands for one that is missing and
// already reported: it answers with zeros and reports nothing.
type Table struct {
	file  *File
	at    Position
	label string
	items []*item
	asked []string // the keys that somebody wanted, for the unknown ones
}

// item is one key of a table.
type item struct {
	key    string
	at     Position // of the key
	value  Position // of the value
	kind   unstable.Kind
	text   string // of the value, decoded
	tables []*Table
	list   bool // [[header]]
	bad    bool // a problem with its value is already reported
}

// At returns where the table's header stands.
func (t *Table) At() Position {
	if t == nil {
		return Position{1, 1}
	}
	return t.at
}

// Label returns the table's name for messages: "[tank]", "[[bank]] 2".
func (t *Table) Label() string {
	if t == nil {
		return "a missing table"
	}
	return t.label
}

// Has reports whether the table has a key. It counts as asking for it.
func (t *Table) Has(key string) bool { return t.ask(key) != nil }

// KeyAt returns where a key stands, or the table where the key is missing.
func (t *Table) KeyAt(key string) Position {
	if it := t.find(key); it != nil {
		return it.at
	}
	return t.At()
}

// Table returns the table of a key, which must be there.
func (t *Table) Table(key string) *Table {
	if t == nil {
		return nil
	}
	if !t.Has(key) {
		t.file.Report(t.at, "table %s is missing, it must be there", t.childLabel(key))
		return nil
	}
	return t.TableIf(key)
}

// TableIf returns the table of a key, nil where it is missing.
func (t *Table) TableIf(key string) *Table {
	it := t.ask(key)
	if it == nil {
		return nil
	}
	if len(it.tables) != 1 || it.list {
		t.complain(it, "%s is no single table, allowed is one under the header %s", it.said(), t.childLabel(key))
		return nil
	}
	return it.tables[0]
}

// Tables returns the tables under [[key]], which may be none.
func (t *Table) Tables(key string) []*Table {
	it := t.ask(key)
	if it == nil {
		return nil
	}
	if !it.list {
		t.complain(it, "%s is no list of tables, allowed is each under its own header [%s]", it.said(), t.childLabel(key))
		return nil
	}
	return it.tables
}

// Keys returns the table's keys in their order.
func (t *Table) Keys() []string {
	if t == nil {
		return nil
	}
	keys := make([]string, len(t.items))
	for i, it := range t.items {
		keys[i] = it.key
	}
	return keys
}

// Report adds a problem at a key, or at the table where the key is missing, and
// marks the key's value as wrong.
func (t *Table) Report(key, format string, args ...any) {
	if t == nil {
		return
	}
	if it := t.find(key); it != nil {
		t.complain(it, format, args...)
		return
	}
	t.file.Report(t.at, format, args...)
}

func (t *Table) childLabel(key string) string {
	if t.label == "the file" {
		return "[" + key + "]"
	}
	return "[" + strings.Trim(strings.TrimRight(t.label, " 0123456789"), "[]") + "." + key + "]"
}

func (t *Table) complain(it *item, format string, args ...any) {
	it.bad = true
	at := it.value
	if at == (Position{}) {
		at = it.at
	}
	t.file.Report(at, format, args...)
}

func (t *Table) find(key string) *item {
	if t == nil {
		return nil
	}
	for _, it := range t.items {
		if it.key == key {
			return it
		}
	}
	return nil
}

func (t *Table) ask(key string) *item {
	if t == nil {
		return nil
	}
	t.asked = append(t.asked, key)
	return t.find(key)
}

func (t *Table) add(key string, at Position) *item {
	it := &item{key: key, at: at}
	t.items = append(t.items, it)
	return it
}

// said returns key and value for a message.
func (it *item) said() string {
	if len(it.tables) > 0 {
		return quantity.Quote(it.key)
	}
	if it.kind == unstable.String {
		return it.key + " " + quantity.Quote(it.text)
	}
	return it.key + " " + oneLine(it.text)
}
