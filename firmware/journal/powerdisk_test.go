package journal

import (
	"bytes"
	"errors"
	"io/fs"
	"maps"
	"math/rand/v2"
	"path"
	"slices"
	"strings"
)

// powerDisk is a disk in memory whose power goes at a chosen operation. What was
// not made durable by then is kept sector by sector as chance has it, as a disk
// with a cache may do: written, not written, or written in part; a file may have
// grown without its data, which then read as zeros; a removed file may be back.
// Names and whole files that Open and Replace have returned for are durable.
type powerDisk struct {
	live, durable map[string][]byte
	unsynced      map[string][]patch
	removed       map[string][]byte
	ops           int
	cutAt         int // the operation at which the power goes; 0 for never
	failing       error
	written       int64 // bytes handed to the disk
	syncs         int
}

type patch struct {
	at       int64
	data     []byte
	truncate bool
}

type powerCut struct{}

// sector is what is written whole or not at all; real ones are larger.
const sector = 16

func newPowerDisk() *powerDisk {
	return &powerDisk{live: map[string][]byte{}, durable: map[string][]byte{}, unsynced: map[string][]patch{}, removed: map[string][]byte{}}
}

// op counts an operation, and cuts the power where that is due.
func (d *powerDisk) op() error {
	d.ops++
	if d.cutAt > 0 && d.ops >= d.cutAt {
		panic(powerCut{})
	}
	return d.failing
}

// afterCut returns the disk as it is found when the power is back.
func (d *powerDisk) afterCut(random *rand.Rand) *powerDisk {
	next := newPowerDisk()
	next.durable = maps.Clone(d.durable)
	for _, name := range slices.Sorted(maps.Keys(d.unsynced)) {
		data := slices.Clone(d.durable[name])
		for _, p := range d.unsynced[name] {
			data = p.apply(data, random)
		}
		next.durable[name] = data
	}
	for _, name := range slices.Sorted(maps.Keys(d.removed)) {
		if _, there := next.durable[name]; !there && random.IntN(2) == 0 {
			next.durable[name] = d.removed[name]
		}
	}
	next.live = maps.Clone(next.durable)
	return next
}

// apply puts the patch in as far as chance wants it.
func (p patch) apply(data []byte, random *rand.Rand) []byte {
	if p.truncate {
		if random.IntN(2) == 0 && int64(len(data)) > p.at {
			return data[:p.at]
		}
		return data
	}
	switch random.IntN(4) {
	case 0:
		return data
	case 1:
		return overlay(data, p.at, p.data)
	}
	size := p.at + int64(random.IntN(len(p.data)+1))
	if size > int64(len(data)) && random.IntN(2) == 0 {
		data = append(data, make([]byte, size-int64(len(data)))...) // grown, without its data
	}
	for from := 0; from < len(p.data); from += sector {
		part := p.data[from:min(from+sector, len(p.data))]
		if at := p.at + int64(from); random.IntN(2) == 0 && at <= int64(len(data)) {
			data = overlay(data, at, part)
		}
	}
	return data
}

func overlay(data []byte, at int64, part []byte) []byte {
	data = slices.Clone(data)
	if need := at + int64(len(part)) - int64(len(data)); need > 0 {
		data = append(data, make([]byte, need)...)
	}
	copy(data[at:], part)
	return data
}

func (d *powerDisk) Read(name string) ([]byte, error) {
	data, ok := d.live[name]
	if !ok {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
	return bytes.Clone(data), nil
}

func (d *powerDisk) List(folder string) ([]Stored, error) {
	var list []Stored
	for _, name := range slices.Sorted(maps.Keys(d.live)) {
		if dir := path.Dir(name); dir == folder || dir == "." && folder == "" {
			list = append(list, Stored{path.Base(name), int64(len(d.live[name]))})
		}
	}
	return list, nil
}

func (d *powerDisk) Open(name string) (File, error) {
	if _, ok := d.live[name]; !ok {
		if err := d.op(); err != nil {
			return nil, err
		}
		d.live[name] = nil
		d.durable[name] = nil
		d.written += 4096 // a name in a folder
		d.syncs++
	}
	return &powerFile{d, name}, nil
}

func (d *powerDisk) Replace(name string, data []byte) error {
	if err := d.op(); err != nil {
		return err
	}
	d.live[name], d.durable[name] = bytes.Clone(data), bytes.Clone(data)
	delete(d.unsynced, name)
	d.written += int64(len(data)) + 4096
	d.syncs += 2
	return d.op()
}

func (d *powerDisk) Remove(name string) error {
	if err := d.op(); err != nil {
		return err
	}
	if data, ok := d.durable[name]; ok {
		d.removed[name] = data
	}
	delete(d.live, name)
	delete(d.durable, name)
	delete(d.unsynced, name)
	return nil
}

type powerFile struct {
	disk *powerDisk
	name string
}

var errGap = errors.New("written past the end")

func (f *powerFile) WriteAt(data []byte, at int64) (int, error) {
	if err := f.disk.op(); err != nil {
		return 0, err
	}
	if at > int64(len(f.disk.live[f.name])) {
		return 0, errGap
	}
	f.disk.unsynced[f.name] = append(f.disk.unsynced[f.name], patch{at: at, data: bytes.Clone(data)})
	f.disk.live[f.name] = overlay(f.disk.live[f.name], at, data)
	f.disk.written += int64(len(data))
	return len(data), nil
}

func (f *powerFile) Truncate(size int64) error {
	if err := f.disk.op(); err != nil {
		return err
	}
	if size < int64(len(f.disk.live[f.name])) {
		f.disk.live[f.name] = f.disk.live[f.name][:size]
		f.disk.unsynced[f.name] = append(f.disk.unsynced[f.name], patch{at: size, truncate: true})
	}
	return nil
}

func (f *powerFile) Sync() error {
	// The power may go while it is at it: then all is as chance has it.
	if err := f.disk.op(); err != nil {
		return err
	}
	f.disk.durable[f.name] = bytes.Clone(f.disk.live[f.name])
	delete(f.disk.unsynced, f.name)
	f.disk.syncs++
	return nil
}

func (f *powerFile) Close() error { return nil }

// damagedDisk is a copy of a disk with one file changed.
func (d *powerDisk) with(name string, data []byte) *powerDisk {
	next := newPowerDisk()
	next.live, next.durable = maps.Clone(d.live), maps.Clone(d.durable)
	next.live[name], next.durable[name] = data, bytes.Clone(data)
	return next
}

// recordFiles are the files of records, and what is beside them.
func (d *powerDisk) recordFiles() []string {
	var list []string
	for _, name := range slices.Sorted(maps.Keys(d.live)) {
		if !strings.Contains(name, "/") {
			list = append(list, name)
		}
	}
	return list
}
