package journal

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"time"

	"bathtender/firmware/fileerror"
	"bathtender/firmware/health"
	"bathtender/hal"
)

const lookEvery = 2 * time.Second

// look sees now and then whether the journal is still where it was, although
// nothing is written, and takes in what the owner has put into the inbox.
func (b *Book) look(now time.Duration) error {
	if now < b.looked && now > b.looked-2*lookEvery {
		return nil
	}
	b.looked = now + lookEvery
	if _, err := b.disk.Read(lastName); err != nil {
		return fmt.Errorf("%s cannot be read: %w", lastName, fileerror.Cause(err))
	}
	files, err := b.disk.List(inboxFolder)
	if err != nil {
		return fmt.Errorf("the inbox cannot be read: %w", fileerror.Cause(err))
	}
	b.takeNotes(files)
	return nil
}

// takeNotes takes in the notes of some files. What is about the liquid waits
// while a session runs.
func (b *Book) takeNotes(files []Stored) {
	for _, f := range files {
		if !strings.HasSuffix(f.Name, noteSuffix) {
			continue // being written
		}
		name := inboxFolder + "/" + f.Name
		data, err := b.disk.Read(name)
		if err != nil {
			continue
		}
		entry, err := parseNote(data, nil)
		if err != nil {
			b.add(&Entry{Kind: DamageKind, Text: fmt.Sprintf("%s is no note: %.200q", name, data)})
		} else if !b.takeNote(&entry) {
			continue
		}
		if b.store.flush() == nil {
			// Where it stays, its name keeps it from being taken in twice.
			_ = b.disk.Remove(name)
		}
	}
}

// Waiting returns the notes that wait for the running program to take them in, in
// the order of their names, and what in the inbox is no note.
func Waiting(disk Disk) (waiting []Entry, damages []Damage, err error) {
	files, err := disk.List(inboxFolder)
	if err != nil {
		return nil, nil, fmt.Errorf("the inbox cannot be read: %w", fileerror.Cause(err))
	}
	for _, f := range files {
		if !strings.HasSuffix(f.Name, noteSuffix) {
			continue // being written
		}
		name := inboxFolder + "/" + f.Name
		data, err := disk.Read(name)
		if errors.Is(err, fs.ErrNotExist) {
			continue // it has just been taken in
		}
		note, err := parseNote(data, err)
		if err != nil {
			damages = append(damages, Damage{File: name, Text: fmt.Sprintf("it is no note: %v", fileerror.Cause(err))})
			continue
		}
		waiting = append(waiting, note)
	}
	return waiting, damages, nil
}

// parseNote returns the note of a file of the inbox, which may be one that could
// not be read.
func parseNote(data []byte, unread error) (note Entry, err error) {
	if unread != nil {
		return note, unread
	}
	if err := parseLine(bytes.TrimSuffix(data, []byte("\n")), &note); err != nil {
		return note, err
	}
	if note.Note == nil {
		return note, errors.New("it has no note in it")
	}
	return note, nil
}

// takeNote records a note, and reports whether it is recorded.
func (b *Book) takeNote(entry *Entry) bool {
	if b.seen[entry.Note.ID] {
		return true
	}
	liquid := changesLiquid(entry.Kind)
	if liquid && (b.session != nil || b.liquidDue) {
		return false
	}
	wall := b.now.Wall
	b.now.Wall = entry.Wall.Time // when it was written, not when it was found
	added := b.add(entry)
	b.now.Wall = wall
	if !added {
		return false
	}
	b.seen[entry.Note.ID] = true
	if liquid {
		b.applyNote(entry)
		b.liquidDue = true
	}
	return true
}

// applyNotes brings into what is kept the notes since then: those that were
// written while the program did not run, or right before the power went.
//
// The tail is the last records; the whole journal is read only where it does not
// reach back so far.
func (b *Book) applyNotes(tail []Entry) {
	if b.store.confirmed <= b.noted {
		return
	}
	since := b.noted
	apply := func(e *Entry) {
		if e.Seq > since && e.Note != nil && changesLiquid(e.Kind) {
			b.applyNote(e)
		}
	}
	if len(tail) > 0 && tail[0].Seq <= since+1 {
		for i := range tail {
			apply(&tail[i])
		}
	} else if _, err := Read(b.disk, func(e *Entry, _ []byte) bool { apply(e); return true }); err != nil {
		return
	}
	b.noted = b.store.confirmed
}

func changesLiquid(k Kind) bool { return k == FillKind || k == TopUpKind || k == DrainKind }

// applyNote changes what is kept of the liquid. What a note lacks was refused
// when it was written.
func (b *Book) applyNote(e *Entry) {
	volume := hal.Volume(e.Note.Litres * float64(hal.Litre))
	record := &b.kept.Record
	var err error
	switch e.Kind {
	case FillKind:
		err = record.Fill(Day(e.Wall.Time), volume)
	case TopUpKind:
		err = record.TopUp(volume)
	case DrainKind:
		record.Liquid = health.LiquidAge{}
	}
	if err != nil {
		b.add(&Entry{Kind: DamageKind, Text: fmt.Sprintf("record %d: %v", e.Seq, err)})
	}
	b.noted, b.keptDue = e.Seq, true
}

// Liquid returns what the loop must tell the supervisor of the liquid, where
// its owner has changed that.
func (b *Book) Liquid() (health.LiquidAge, bool) { return b.kept.Record.Liquid, b.liquidDue }

const noteSuffix = ".json"

// Submit hands in what the owner writes: where no program writes the journal it
// is recorded at once, else it is put into the inbox, where the program finds
// it. It reports whether it was recorded.
func Submit(folder Folder, entry *Entry) (recorded bool, err error) {
	if entry.Note == nil || entry.Note.ID == "" {
		return false, fmt.Errorf("the note has no ID")
	}
	if _, err := folder.Read(lastName); err != nil {
		return false, fmt.Errorf("%s is no journal: %s cannot be read: %w", folder, lastName, fileerror.Cause(err))
	}
	lock, err := folder.Lock()
	if err == ErrInUse {
		line, err := appendLine(nil, entry)
		if err != nil {
			return false, err
		}
		if err := folder.Replace(inboxFolder+"/"+entry.Note.ID+noteSuffix, line); err != nil {
			return false, fmt.Errorf("the note cannot be put into the inbox: %w", fileerror.Cause(err))
		}
		return false, nil
	}
	if err != nil {
		return false, fmt.Errorf("the journal cannot be locked: %w", fileerror.Cause(err))
	}
	defer lock.Close()
	s := store{disk: folder}
	tail, _, err := s.open()
	if err != nil {
		return false, err
	}
	defer s.shut()
	if len(tail) > 0 {
		entry.Boot = tail[len(tail)-1].Boot
	}
	if err := s.take(entry); err != nil {
		return false, err
	}
	if err := s.flush(); err != nil {
		return false, err
	}
	return true, nil
}
