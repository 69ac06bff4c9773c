package main

import (
	"bufio"
	"bytes"
	"io"

	"bathtender/firmware/cli"
	"bathtender/firmware/journal"
)

// record is a record and its line.
type record struct {
	entry journal.Entry
	line  []byte
}

// lister writes records one after another.
type lister interface {
	put(r *record) error
	end() error
}

// listRecords lists the records that are wanted.
func listRecords(streams cli.Streams, disk journal.Folder, f *logFlags) ([]string, error) {
	// Before the records: a note that is taken in meanwhile is then seen twice,
	// and not never.
	waiting, damages, err := journal.Waiting(disk)
	if err != nil {
		return nil, err
	}
	out := bufio.NewWriter(streams.Out)
	var to lister
	switch {
	case f.json:
		to = lines{out}
	case f.csv:
		to = newTable(out)
	default:
		to = &plain{out: out, zone: f.zone}
	}
	pick := picking{choice: &f.choice, last: f.last, to: to, noted: map[string]bool{}}
	found, err := journal.Read(disk, pick.take)
	if err == nil {
		err = pick.err
	}
	if err != nil {
		return nil, err
	}
	if list, ok := to.(*plain); ok {
		list.heading(&pick, len(found) > 0)
	}
	if err := pick.rest(); err != nil {
		return nil, err
	}
	if list, ok := to.(*plain); ok {
		for i := range waiting {
			if w := &waiting[i]; !pick.noted[w.Note.ID] && f.choice.fits(w) {
				list.waiting(w)
			}
		}
	}
	if err := to.end(); err != nil {
		return nil, err
	}
	return sentences(append(found, damages...)), out.Flush()
}

// lines writes the records as they are stored.
type lines struct{ out io.Writer }

func (l lines) put(r *record) error {
	_, err := l.out.Write(append(bytes.Clone(r.line), '\n'))
	return err
}

func (l lines) end() error { return nil }

// sentences returns damages as they are told.
func sentences(damages []journal.Damage) []string {
	var list []string
	for _, d := range damages {
		list = append(list, d.String())
	}
	return list
}
