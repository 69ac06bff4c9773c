package journal

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
)

// Disk is what a journal needs of its storage. Names are relative to the
// journal's folder, with slashes. Tests put a disk in its place that fails or
// loses its power.
type Disk interface {
	// Read returns a whole file; the error is fs.ErrNotExist where there is none.
	Read(name string) ([]byte, error)
	// List returns the names and sizes of the files in a folder, "" for the
	// journal's own, sorted by name; nothing where there is no such folder.
	List(folder string) ([]Stored, error)
	// Open opens a file for writing, and makes it where there is none, its name
	// durable.
	Open(name string) (File, error)
	// Replace puts a whole file in place of another, or of none. After a power
	// loss there is the old one or the new one; after Replace has returned, the new one.
	Replace(name string, data []byte) error
	// Remove removes a file; one that is not there is no error.
	Remove(name string) error
}

// Stored is a file on a disk.
type Stored struct {
	Name string // within its folder
	Size int64
}

// File is a file that is being written.
type File interface {
	// WriteAt writes at a place; it never extends a file with a gap.
	WriteAt(data []byte, at int64) (int, error)
	// Truncate cuts the file to a size.
	Truncate(size int64) error
	// Sync makes what was written durable. A file that has gone from its folder
	// is an error: what is written to it nobody will find.
	Sync() error
	Close() error
}

// Folder is a Disk on a folder of the file system.
type Folder string

func (f Folder) path(name string) string { return filepath.Join(string(f), filepath.FromSlash(name)) }

// Read implements Disk.
func (f Folder) Read(name string) ([]byte, error) { return os.ReadFile(f.path(name)) }

// List implements Disk.
func (f Folder) List(folder string) ([]Stored, error) {
	entries, err := os.ReadDir(f.path(folder))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	var list []Stored
	for _, entry := range entries {
		info, failed := entry.Info()
		if failed != nil || !info.Mode().IsRegular() {
			continue // gone in the meantime, or a folder
		}
		list = append(list, Stored{Name: entry.Name(), Size: info.Size()})
	}
	return list, err
}

// Open implements Disk.
func (f Folder) Open(name string) (File, error) {
	path := f.path(name)
	file, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err == nil {
		return osFile{file}, nil
	}
	if !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	if err := f.makeRoomFor(path); err != nil {
		return nil, err
	}
	if file, err = os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644); err != nil {
		return nil, err
	}
	if err := syncFolder(filepath.Dir(path)); err != nil {
		file.Close()
		return nil, err
	}
	return osFile{file}, nil
}

// makeRoomFor makes the folder of a path inside the journal. The journal's own
// folder is never made here: where it has vanished, its storage has.
func (f Folder) makeRoomFor(path string) error {
	folder := filepath.Dir(path)
	if folder == filepath.Clean(string(f)) {
		return nil
	}
	if err := os.Mkdir(folder, 0o755); err != nil {
		if errors.Is(err, fs.ErrExist) {
			return nil
		}
		return err
	}
	return syncFolder(filepath.Dir(folder))
}

const draftSuffix = ".draft"

// Replace implements Disk.
func (f Folder) Replace(name string, data []byte) error {
	path := f.path(name)
	if err := f.makeRoomFor(path); err != nil {
		return err
	}
	draft := path + draftSuffix
	file, err := os.OpenFile(draft, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, 0o644)
	if err != nil {
		return err
	}
	_, err = file.Write(data)
	if err == nil {
		err = file.Sync()
	}
	if closed := file.Close(); err == nil {
		err = closed
	}
	if err == nil {
		err = os.Rename(draft, path)
	}
	if err != nil {
		os.Remove(draft)
		return err
	}
	return syncFolder(filepath.Dir(path))
}

// Remove implements Disk.
func (f Folder) Remove(name string) error {
	err := os.Remove(f.path(name))
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return err
}

type osFile struct{ *os.File }

// inPlace reports an error where the file is no longer the one of its name.
func (f osFile) inPlace() error {
	there, err := os.Stat(f.Name())
	if err != nil {
		return err
	}
	here, err := f.Stat()
	if err == nil && !os.SameFile(here, there) {
		err = errors.New("another file has taken its place")
	}
	return err
}
