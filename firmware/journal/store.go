package journal

import (
	"errors"
	"fmt"
	"time"

	"bathtender/firmware/fileerror"
)

// store appends records durably. After an error it is shut until it is opened
// again; what was not confirmed by then waits and is written anew.
type store struct {
	disk Disk
	// seq is the number of the last record that was taken, confirmed that of the
	// last one that is known to be durable.
	seq, confirmed uint64
	waiting        []byte // lines that are not confirmed
	records        int    // how many these are

	segment File
	name    string
	size    int64  // of what is confirmed in the segment
	lead    []byte // to end a torn line with, before the next one
	last    File
	// segmentMost is the size at which a new file is begun.
	segmentMost int64
}

const (
	segmentMost = 1 << 20
	// waitingMost bounds the records that wait for a disk that fails.
	waitingMost = 512
)

// open finds the end of the journal. It returns what of the last file is no
// record, and the last records that it holds.
func (s *store) open() (tail []Entry, damages []Damage, err error) {
	s.shut()
	list, err := segments(s.disk)
	if err != nil {
		return nil, nil, err
	}
	last, lastError := readLast(s.disk)
	if lastError != nil && (len(list) > 0 || last > 0) {
		damages = append(damages, Damage{File: lastName, Text: lastError.Error()})
	}
	if len(list) == 0 {
		list = append(list, segment{segmentName(last + 1), last + 1})
		if last > 0 {
			damages = append(damages, Damage{File: lastName, Text: numbers(1, last) + " missing"})
		}
	} else {
		ends := list[max(len(list)-2, 0):] // the last one may have been begun only
		r := reading{next: ends[0].first}
		r.do = func(e *Entry, _ []byte) bool {
			tail = append(tail, *e)
			if e.Kind == BootKind {
				r.damages = nil // that start has recorded what was damaged before it
			}
			return true
		}
		end := ends[len(ends)-1]
		for _, one := range ends {
			data, err := s.disk.Read(one.name)
			if err != nil {
				return nil, nil, fmt.Errorf("%s cannot be read: %w", one.name, fileerror.Cause(err))
			}
			r.file(one.name, data)
			s.size, s.lead = int64(len(data)), nil
			if n := len(data); n > 0 && data[n-1] != '\n' {
				s.lead = []byte("\n")
			}
		}
		damages = append(damages, r.damages...)
		if r.next <= last {
			damages = append(damages, Damage{File: end.name, Text: numbers(r.next, last) + " missing at the end"})
		}
		// Numbers are never given twice, not even those of records that are gone.
		last = max(last, r.next-1)
	}
	s.name = list[len(list)-1].name
	s.seq, s.confirmed = last, last
	if s.segmentMost == 0 {
		s.segmentMost = segmentMost
	}
	return tail, damages, s.reopen()
}

// reopen opens the files for writing. What a failed write has left behind in the
// segment was never confirmed; the same lines are written over it.
func (s *store) reopen() (err error) {
	s.shut()
	if err := s.measure(); err != nil {
		return err
	}
	if s.segment, err = s.disk.Open(s.name); err != nil {
		return fmt.Errorf("%s cannot be opened: %w", s.name, fileerror.Cause(err))
	}
	if s.last, err = s.disk.Open(lastName); err != nil {
		return fmt.Errorf("%s cannot be opened: %w", lastName, fileerror.Cause(err))
	}
	return nil
}

// measure finds out whether the file has lost what was confirmed: another disk
// may have come back than the one that went. The next record then begins a line
// of its own, and the numbers tell what is missing.
func (s *store) measure() error {
	files, err := s.disk.List("")
	if err != nil {
		return fmt.Errorf("the journal cannot be read: %w", fileerror.Cause(err))
	}
	size := int64(0)
	for _, f := range files {
		if f.Name == s.name {
			size = f.Size
		}
	}
	if size < s.size {
		s.size, s.lead = size, []byte("\n")
	}
	return nil
}

func (s *store) shut() {
	for _, file := range []File{s.segment, s.last} {
		if file != nil {
			file.Close()
		}
	}
	s.segment, s.last = nil, nil
}

var errNoRoom = errors.New("too many records wait to be written")

// take gives a record its number and lets it wait for flush.
func (s *store) take(e *Entry) error {
	if s.records >= waitingMost {
		return errNoRoom
	}
	e.Seq = s.seq + 1
	line, err := appendLine(s.waiting, e)
	if err != nil {
		return err
	}
	s.waiting, s.seq = line, e.Seq
	s.records++
	return nil
}

// flush makes what waits durable, and so confirms it.
func (s *store) flush() error {
	if s.records == 0 {
		return nil
	}
	if s.segment == nil {
		if err := s.reopen(); err != nil {
			return err
		}
	}
	if err := s.write(); err != nil {
		s.shut() // a failed sync may have forgotten what it should have written
		return err
	}
	return nil
}

func (s *store) write() error {
	data := append(s.lead[:len(s.lead):len(s.lead)], s.waiting...)
	if s.size > 0 && s.size+int64(len(data)) > s.segmentMost {
		if err := s.turn(); err != nil {
			return err
		}
		data = s.waiting
	}
	if _, err := s.segment.WriteAt(data, s.size); err != nil {
		return fmt.Errorf("%s cannot be written: %w", s.name, fileerror.Cause(err))
	}
	if err := s.segment.Sync(); err != nil {
		return fmt.Errorf("%s cannot be made durable: %w", s.name, fileerror.Cause(err))
	}
	if err := writeLast(s.last, s.seq); err != nil {
		return fmt.Errorf("%s cannot be written: %w", lastName, fileerror.Cause(err))
	}
	s.size += int64(len(data))
	s.lead, s.waiting, s.records, s.confirmed = nil, s.waiting[:0], 0, s.seq
	return nil
}

// turn begins a new file. A torn line at the end of the one before stays there.
func (s *store) turn() error {
	s.segment.Close()
	s.name, s.size, s.lead = segmentName(s.confirmed+1), 0, nil
	file, err := s.disk.Open(s.name)
	if err != nil {
		s.segment = nil
		return fmt.Errorf("%s cannot be opened: %w", s.name, fileerror.Cause(err))
	}
	s.segment = file
	return nil
}

// newStore writes the files of an empty journal.
func newStore(disk Disk) error {
	empty, err := newLast(0)
	if err != nil {
		return err
	}
	return disk.Replace(lastName, empty)
}

// retryEvery is how long a disk that has failed is left alone.
const retryEvery = 5 * time.Second
