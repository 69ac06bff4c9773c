package journal

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"strconv"
	"strings"

	"bathtender/firmware/fileerror"
	"bathtender/hal/trace"
)

// begin takes up the journal where the run before has left it. What kept.json
// could not be read for is given.
func (b *Book) begin(unreadable error) {
	b.first = unreadable
	if unreadable != nil {
		// The lockouts are gone; what health kept stands in the records too.
		b.restoreRecord()
	}
	if err := b.open(); err != nil {
		b.failure, b.retryAt = fmt.Errorf("the journal cannot be written: %w", err), retryEvery
		return
	}
	b.settle(0)
}

// restoreRecord takes what health kept from the last record of it.
func (b *Book) restoreRecord() {
	_, err := Read(b.disk, func(e *Entry, _ []byte) bool {
		if e.Kept != nil && e.Kept.Record != nil {
			if record, err := e.Kept.Record.restore(); err == nil {
				b.kept.Record, b.noted = record, e.Kept.Noted
			}
		}
		return true
	})
	if err != nil {
		b.noted = 0
	}
}

// open opens the files and records the start. It does nothing where that is
// done.
func (b *Book) open() error {
	if b.opened {
		return nil
	}
	tail, damages, err := b.store.open()
	if err != nil {
		return err
	}
	if err := b.passNames(); err != nil {
		return err
	}
	b.opened = true
	if b.unreadable && len(tail) > 0 {
		b.boot = tail[len(tail)-1].Boot
	}
	b.boot++
	b.seen = map[string]bool{}
	for i := range tail {
		if note := tail[i].Note; note != nil {
			b.seen[note.ID] = true
		}
	}
	b.tellBoot(tail)
	if b.first != nil {
		text := fmt.Sprintf("%s cannot be read: %v; the machine is locked out", keptName, b.first)
		if errors.Is(b.first, fs.ErrNotExist) {
			text = keptName + " is missing; the machine is locked out"
		}
		b.add(&Entry{Kind: DamageKind, Text: text})
	} else {
		b.keptDue = true
	}
	for _, d := range damages {
		b.add(&Entry{Kind: DamageKind, Text: d.String()})
	}
	b.mendWindows()
	b.applyNotes(tail)
	b.filesDue, b.tidyDue = true, true
	return nil
}

// passNames makes sure that no number of a window or a session is given twice,
// whatever of the records is gone.
func (b *Book) passNames() error {
	for _, folder := range []string{WindowFolder, SessionFolder} {
		files, err := b.disk.List(folder)
		if err != nil {
			return fmt.Errorf("%s cannot be read: %w", folder, fileerror.Cause(err))
		}
		for _, f := range files {
			if number, ok := numberOf(f.Name); ok && number > b.store.seq {
				b.store.seq, b.store.confirmed = number, number
			}
		}
	}
	return nil
}

// numberOf returns the number of the record that a trace belongs to.
func numberOf(name string) (uint64, bool) {
	_, digits, ok := strings.Cut(name, "-")
	if !ok || len(digits) < 10 {
		return 0, false
	}
	number, err := strconv.ParseUint(digits[:10], 10, 64)
	return number, err == nil
}

// tellBoot records the start, and how the run before has ended.
func (b *Book) tellBoot(tail []Entry) {
	text := fmt.Sprintf("the program starts for the %s time", ordinal(b.boot))
	running := ""
	orderly := len(tail) == 0
	for i := range tail {
		switch tail[i].Kind {
		case StartKind:
			running = tail[i].Recipe
		case SessionKind, BootKind:
			running = ""
		}
		orderly = tail[i].Kind == ShutdownKind
	}
	if !orderly && len(tail) > 0 {
		text += "; the run before did not end in order: the power went, or the program was killed"
	}
	if running != "" {
		text += fmt.Sprintf(", during a session of %q", running)
	}
	entry := &Entry{Kind: BootKind, Text: text}
	for _, f := range b.cabinet.Files {
		entry.Files = append(entry.Files, f.Fingerprint)
	}
	b.add(entry)
}

func ordinal(n uint32) string {
	suffix := "th"
	if n%100 < 11 || n%100 > 13 {
		switch n % 10 {
		case 1:
			suffix = "st"
		case 2:
			suffix = "nd"
		case 3:
			suffix = "rd"
		}
	}
	return fmt.Sprintf("%d%s", n, suffix)
}

// keepFiles keeps the machine file and the recipes as they are now.
func (b *Book) keepFiles() error {
	for _, f := range b.cabinet.Files {
		name := FileName(f.Fingerprint)
		if _, err := b.disk.Read(name); err == nil {
			continue // named for what is in it
		}
		if err := b.disk.Replace(name, f.Data); err != nil {
			return fmt.Errorf("%s cannot be kept: %w", name, fileerror.Cause(err))
		}
	}
	b.filesDue = false
	return nil
}

// FileName returns the name, in a journal, of the machine file or recipe of a
// fingerprint.
func FileName(fingerprint string) string {
	return fileFolder + "/" + short(fingerprint) + ".toml"
}

// mendWindows cuts the torn last row off the last traces of each kind, which may
// have been open when the power went.
func (b *Book) mendWindows() {
	for _, folder := range []string{WindowFolder, SessionFolder} {
		files, err := b.disk.List(folder)
		if err != nil {
			continue // it will be told when it is written to
		}
		mended := 0
		for i := len(files) - 1; i >= 0 && mended < 2; i-- {
			if strings.HasSuffix(files[i].Name, ".csv") {
				mended++
				b.mend(folder + "/" + files[i].Name)
			}
		}
	}
}

func (b *Book) mend(name string) {
	data, err := b.disk.Read(name)
	if err != nil {
		return
	}
	good := wholeRows(name, data)
	if good == len(data) {
		return
	}
	file, err := b.disk.Open(name)
	if err == nil {
		err = file.Truncate(int64(good))
		file.Close()
	}
	text := fmt.Sprintf("%s: its last %d bytes are no row and were cut off", name, len(data)-good)
	if err != nil {
		text = fmt.Sprintf("%s: its last %d bytes are no row, and cannot be cut off: %v", name, len(data)-good, fileerror.Cause(err))
	}
	b.add(&Entry{Kind: DamageKind, Text: text})
}

// wholeRows returns how many bytes of a trace are whole rows. In a journal's
// traces each row is one line; where damage has made one of several, it may take
// a second look to find the end.
func wholeRows(name string, data []byte) int {
	for {
		good := wholeLines(name, data)
		if good == len(data) {
			return good
		}
		data = data[:good]
	}
}

func wholeLines(name string, data []byte) int {
	reader, err := trace.NewReader(bytes.NewReader(data), name)
	if err != nil {
		return 0
	}
	var row trace.Row
	rows := 1 // the header
	for reader.Next(&row) == nil {
		rows++
	}
	at := 0
	for range rows {
		end := bytes.IndexByte(data[at:], '\n')
		if end < 0 {
			return at // a last row without its line end may lack digits
		}
		at += end + 1
	}
	return at
}
