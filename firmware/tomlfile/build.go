package tomlfile

import (
	"bytes"
	"errors"
	"fmt"
	"sort"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"
)

// build makes the tree of tables from the file's expressions, whose syntax has
// been checked before.
func (f *File) build() error {
	f.root = &Table{file: f, at: Position{1, 1}, label: "the file"}
	var p unstable.Parser
	p.Reset(f.data)
	into := f.root
	for p.NextExpression() {
		e := p.Expression()
		var ok bool
		switch e.Kind {
		case unstable.Table, unstable.ArrayTable:
			into, ok = f.openTable(e)
		case unstable.KeyValue:
			ok = f.addKey(into, e)
		default:
			ok = true
		}
		if !ok {
			return f.problems
		}
	}
	if err := p.Error(); err != nil {
		at := Position{1, 1}
		if pe := (*unstable.ParserError)(nil); errors.As(err, &pe) {
			at = f.position(p.Range(pe.Highlight).Offset)
		}
		f.Report(at, "the file is not TOML: %s", oneLine(err.Error()))
		return f.problems
	}
	return nil
}

// openTable returns the table that a [header] or [[header]] opens.
func (f *File) openTable(e *unstable.Node) (*Table, bool) {
	t := f.root
	for it := e.Key(); it.Next(); {
		key, at := string(it.Node().Data), f.position(it.Node().Raw.Offset)
		if it.IsLast() {
			at = f.lineStart(at.Line)
		}
		item := t.find(key)
		switch {
		case it.IsLast() && e.Kind == unstable.ArrayTable:
			if item == nil {
				item = t.add(key, at)
			}
			item.tables = append(item.tables, &Table{file: f, at: at})
			item.list = true
		case item == nil:
			item = t.add(key, at)
			item.tables = []*Table{{file: f, at: at}}
		case it.IsLast():
			// A header after its own subtables: its place is where it stands.
			if len(item.tables) > 0 {
				item.tables[len(item.tables)-1].at = at
			}
		}
		if len(item.tables) == 0 {
			f.Report(at, "%q is both a value and a table, allowed is one of them", key)
			return nil, false
		}
		next := item.tables[len(item.tables)-1]
		next.label = tableLabel(t, key, item)
		t = next
	}
	return t, true
}

// tableLabel names a table for messages: [tank], [probe.bath_a], [[bank]] 2.
func tableLabel(parent *Table, key string, item *item) string {
	path := key
	if inner := strings.Trim(strings.TrimRight(parent.label, " 0123456789"), "[]"); parent.label != "the file" {
		path = inner + "." + key
	}
	if item.list {
		return fmt.Sprintf("[[%s]] %d", path, len(item.tables))
	}
	return "[" + path + "]"
}

// addKey puts key = value into a table; the key may be dotted.
func (f *File) addKey(t *Table, e *unstable.Node) bool {
	for it := e.Key(); it.Next(); {
		key, at := string(it.Node().Data), f.position(it.Node().Raw.Offset)
		found := t.find(key)
		if it.IsLast() {
			if found != nil {
				f.Report(at, "%q is there twice, allowed is once", key)
				return false
			}
			return f.fill(t, t.add(key, at), e.Value())
		}
		if found == nil {
			found = t.add(key, at)
			found.tables = []*Table{{file: f, at: at}}
			found.tables[0].label = tableLabel(t, key, found)
		}
		if len(found.tables) == 0 {
			f.Report(at, "%q is both a value and a table, allowed is one of them", key)
			return false
		}
		t = found.tables[len(found.tables)-1]
	}
	return true
}

// fill stores a value in an item; an inline table becomes a table.
func (f *File) fill(t *Table, it *item, v *unstable.Node) bool {
	it.kind = v.Kind
	it.value = it.at
	if v.Raw.Length > 0 {
		it.value = f.position(v.Raw.Offset)
	}
	switch v.Kind {
	case unstable.InlineTable:
		inner := &Table{file: f, at: it.at}
		it.tables = []*Table{inner}
		inner.label = tableLabel(t, it.key, it)
		for kv := v.Children(); kv.Next(); {
			if kv.Node().Kind == unstable.KeyValue && !f.addKey(inner, kv.Node()) {
				return false
			}
		}
	case unstable.Array:
		it.text = "[...]" // not shown in full: it may be long
	default:
		it.text = string(v.Data)
	}
	return true
}

// lineStart returns the first character of a line that is no blank.
func (f *File) lineStart(line int) Position {
	start := f.lines[line-1]
	blank := bytes.IndexFunc(f.data[start:], func(c rune) bool { return c != ' ' && c != '\t' })
	return f.place(line, blank+1)
}

// position turns an offset in bytes into a Position.
func (f *File) position(offset uint32) Position {
	line := sort.SearchInts(f.lines, int(offset)+1)
	return f.place(line, int(offset)-f.lines[line-1]+1)
}
