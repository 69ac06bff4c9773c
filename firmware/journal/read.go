package journal

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"
	"time"

	"bathtender/firmware/fileerror"
)

// Damage is a place where a journal is not as it was written.
type Damage struct {
	File string
	Line int // from 1; 0 where the file as a whole is meant
	Text string
}

// String returns the damage as a sentence with its place.
func (d Damage) String() string {
	if d.Line == 0 {
		return d.File + ": " + d.Text
	}
	return fmt.Sprintf("%s:%d: %s", d.File, d.Line, d.Text)
}

const (
	segmentLead = "journal-"
	segmentTail = ".jsonl"
)

// segmentName returns the name of the file whose first record has a number.
func segmentName(first uint64) string {
	return fmt.Sprintf("%s%010d%s", segmentLead, first, segmentTail)
}

// segments returns the files of records, oldest first.
func segments(disk Disk) ([]segment, error) {
	files, err := disk.List("")
	if err != nil {
		return nil, fmt.Errorf("the journal cannot be read: %w", fileerror.Cause(err))
	}
	var list []segment
	for _, f := range files {
		if first, ok := segmentNumber(f.Name); ok {
			list = append(list, segment{f.Name, first})
		}
	}
	return list, nil
}

// segmentNumber returns the number of the first record in a file of records, and
// whether the name is that of one.
func segmentNumber(name string) (first uint64, ok bool) {
	digits, ok := strings.CutPrefix(name, segmentLead)
	digits, ends := strings.CutSuffix(digits, segmentTail)
	first, err := strconv.ParseUint(digits, 10, 64)
	return first, ok && ends && err == nil && segmentName(first) == name
}

type segment struct {
	name  string
	first uint64
}

// Read calls do with every record of a journal, oldest first, and with its line,
// until do returns false. It returns what is damaged, each place in one sentence;
// records that are missing are named by their numbers. The error is that the
// journal as a whole cannot be read.
//
// A journal may be read while a program writes it: its last line is then perhaps
// not complete yet.
func Read(disk Disk, do func(entry *Entry, line []byte) bool) ([]Damage, error) {
	// Read before the records: they may grow in the meantime, it may not run ahead.
	last, lastError := readLast(disk)
	for try := 0; lastError != nil && again(disk, try); try++ {
		last, lastError = readLast(disk)
	}
	list, err := segments(disk)
	if err != nil {
		return nil, err
	}
	r := reading{do: do, next: 1}
	for i, s := range list {
		data, err := disk.Read(s.name)
		for try := 0; i == len(list)-1 && err == nil && torn(data) && again(disk, try); try++ {
			data, err = disk.Read(s.name)
		}
		if err != nil {
			r.damaged(s.name, 0, "it cannot be read: %v", fileerror.Cause(err))
			continue
		}
		if !r.file(s.name, data) {
			return r.damages, nil
		}
	}
	if lastError != nil {
		r.damages = append(r.damages, Damage{File: lastName, Text: lastError.Error()})
	}
	if r.next <= last {
		r.damaged(lastName, 0, "%s missing at the end", numbers(r.next, last))
	}
	return r.damages, nil
}

func torn(data []byte) bool { return len(data) > 0 && data[len(data)-1] != '\n' }

// again reports whether to look once more at what may just be being written, and
// lets a moment pass. Only a folder can be written by another program.
func again(disk Disk, try int) bool {
	if _, ok := disk.(Folder); !ok || try >= 3 {
		return false
	}
	time.Sleep(20 * time.Millisecond)
	return true
}

type reading struct {
	do      func(*Entry, []byte) bool
	next    uint64 // number of the record that is expected
	damages []Damage
}

func (r *reading) damaged(file string, line int, format string, args ...any) {
	r.damages = append(r.damages, Damage{file, line, fmt.Sprintf(format, args...)})
}

// file reads the records of one file, and reports whether to go on.
func (r *reading) file(name string, data []byte) bool {
	for number := 1; len(data) > 0; number++ {
		line, rest, ended := bytes.Cut(data, []byte("\n"))
		data = rest
		if len(line) == 0 {
			continue
		}
		var entry Entry
		if err := checkLine(line, &entry); err != nil {
			switch {
			case !ended:
				r.damaged(name, number, "the last %d bytes are no record: cut short, or being written just now", len(line))
			default:
				r.damaged(name, number, "%d bytes are no record: %v", len(line), err)
			}
			continue
		}
		if entry.Seq < r.next {
			r.damaged(name, number, "record %d stands where record %d is expected", entry.Seq, r.next)
			continue
		}
		if entry.Seq > r.next {
			r.damaged(name, number, "%s missing", numbers(r.next, entry.Seq-1))
		}
		r.next = entry.Seq + 1
		if !r.do(&entry, line) {
			return false
		}
	}
	return true
}

func checkLine(line []byte, entry *Entry) error {
	if len(line) > lineMost {
		return fmt.Errorf("a record has %d bytes at most", lineMost)
	}
	return parseLine(line, entry)
}

// numbers returns "record 7 is" or "records 7 to 9 are".
func numbers(from, to uint64) string {
	if from == to {
		return fmt.Sprintf("record %d is", from)
	}
	return fmt.Sprintf("records %d to %d are", from, to)
}

// All returns every record of a journal, and what is damaged.
func All(disk Disk) ([]Entry, []Damage, error) {
	var entries []Entry
	damages, err := Read(disk, func(e *Entry, _ []byte) bool {
		entries = append(entries, *e)
		return true
	})
	return entries, damages, err
}
