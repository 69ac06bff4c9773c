package journal

import (
	"fmt"
	"slices"

	"bathtender/firmware/fileerror"
)

// segmentReadMost is the largest file of records that Newest takes in, in bytes. A
// journal begins a new one long before.
const segmentReadMost = 64 << 20

// Newest returns no more than count records, newest first, of those with a number
// below before, or of all if before is 0; whether there are older ones; and what is
// damaged in the files that were read for it. It reads no more files than it must,
// so that a long journal takes no longer than a short one. The error is that the
// journal as a whole cannot be read.
func Newest(disk Disk, before uint64, count int) (entries []Entry, older bool, damages []Damage, err error) {
	last, lastError := readLast(disk)
	list, err := segments(disk)
	if err != nil {
		return nil, false, nil, err
	}
	sizes, err := sizesOf(disk)
	if err != nil {
		return nil, false, nil, err
	}
	if lastError != nil {
		damages = append(damages, Damage{File: lastName, Text: lastError.Error()})
	}
	next := last + 1 // the number that follows on the file that is read
	for i := len(list) - 1; i >= 0; i-- {
		s := list[i]
		if before > 0 && s.first >= before {
			next = s.first
			continue
		}
		if len(entries) >= count {
			return entries, true, damages, nil
		}
		found, ends, bad := readSegment(disk, s, i == len(list)-1, sizes[s.name])
		if ends < next && (lastError == nil || i < len(list)-1) {
			bad = append(bad, Damage{File: s.name, Text: numbers(ends, next-1) + " missing at the end"})
		}
		damages = append(damages, bad...)
		next = s.first
		slices.Reverse(found)
		for n := range found {
			switch {
			case before > 0 && found[n].Seq >= before:
			case len(entries) >= count:
				return entries, true, damages, nil
			default:
				entries = append(entries, found[n])
			}
		}
	}
	return entries, false, damages, nil
}

func sizesOf(disk Disk) (map[string]int64, error) {
	files, err := disk.List("")
	if err != nil {
		return nil, fmt.Errorf("the journal cannot be read: %w", fileerror.Cause(err))
	}
	sizes := map[string]int64{}
	for _, f := range files {
		sizes[f.Name] = f.Size
	}
	return sizes, nil
}

// readSegment returns the records of one file, oldest first, and the number that
// should follow. The end of the newest file may just be being written.
func readSegment(disk Disk, s segment, newest bool, size int64) (found []Entry, ends uint64, damages []Damage) {
	r := reading{next: s.first, do: func(e *Entry, _ []byte) bool {
		found = append(found, *e)
		return true
	}}
	if size > segmentReadMost {
		r.damaged(s.name, 0, "it has %d bytes and was not read, allowed are %d", size, segmentReadMost)
		return nil, r.next, r.damages
	}
	data, err := disk.Read(s.name)
	for try := 0; newest && err == nil && torn(data) && again(disk, try); try++ {
		data, err = disk.Read(s.name)
	}
	if err != nil {
		r.damaged(s.name, 0, "it cannot be read: %v", fileerror.Cause(err))
		return nil, r.next, r.damages
	}
	r.file(s.name, data)
	return found, r.next, r.damages
}
