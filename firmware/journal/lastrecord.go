package journal

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"

	"bathtender/firmware/fileerror"
)

// The number of the last confirmed record also stands in a file of its own: a
// journal that was cut at the end of a line looks whole by itself. The file has
// two places, written in turn, so that a write that is cut short leaves the
// other. The number may lag by one behind the journal, and never runs ahead.
const (
	lastName  = "last-record"
	lastPlace = 512 // one sector each
)

type lastLine struct {
	Seq uint64 `json:"last"`
}

// writeLast writes the number at its place and makes it durable.
func writeLast(file File, seq uint64) error {
	place, err := lastOf(seq)
	if err != nil {
		return err
	}
	if _, err := file.WriteAt(place, int64(seq%2)*lastPlace); err != nil {
		return err
	}
	return file.Sync()
}

// newLast returns the file of a journal whose last record has a number.
func newLast(seq uint64) ([]byte, error) {
	place, err := lastOf(seq)
	return append(place, place...), err
}

// lastOf returns what stands at one place.
func lastOf(seq uint64) ([]byte, error) {
	line, err := appendLine(nil, lastLine{seq})
	if err != nil {
		return nil, err
	}
	place := bytes.Repeat([]byte(" "), lastPlace)
	copy(place, line)
	place[lastPlace-1] = '\n'
	return place, nil
}

// readLast returns the greater of the two numbers. The error says what is
// damaged; the number is then what is known for certain, 0 for nothing.
func readLast(disk Disk) (uint64, error) {
	data, err := disk.Read(lastName)
	if errors.Is(err, fs.ErrNotExist) {
		return 0, errors.New("it is missing, so nobody knows how many records there should be")
	}
	if err != nil {
		return 0, fmt.Errorf("it cannot be read: %w", fileerror.Cause(err))
	}
	var seq uint64
	bad := 0
	for i := range 2 {
		from, to := min(i*lastPlace, len(data)), min((i+1)*lastPlace, len(data))
		line, _, _ := bytes.Cut(data[from:to], []byte("\n"))
		var at lastLine
		if parseLine(line, &at) != nil {
			bad++
			continue
		}
		seq = max(seq, at.Seq)
	}
	switch {
	case bad == 2:
		return 0, errors.New("it is damaged, so nobody knows how many records there should be")
	case bad == 1:
		// The place that is gone may have held the greater number.
		return seq, fmt.Errorf("it is damaged in one of its two places; there should be %d records or one more", seq)
	}
	return seq, nil
}
