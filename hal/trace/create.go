package trace

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
)

// File is a trace that is being recorded to a file.
type File struct {
	*Writer
	file *os.File
}

// Create starts a trace at path, with its sidecar beside it. Neither may exist
// already: a recording is never overwritten. The sidecar appears whole or not at
// all, and where Create fails nothing of its own is left behind.
func Create(path string, layout Layout, meta Metadata, options ...Option) (*File, error) {
	names, err := layout.Names()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	var sidecar bytes.Buffer
	if err := WriteMetadata(&sidecar, path, names, meta); err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	if _, err := os.Lstat(SidecarPath(path)); err == nil {
		return nil, fmt.Errorf("%s: the sidecar exists already; expected a new name, since a recording is never overwritten", SidecarPath(path))
	}
	file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, os.ErrExist) {
		return nil, fmt.Errorf("%s: the file exists already; expected a new name, since a recording is never overwritten (%w)", path, os.ErrExist)
	}
	if err != nil {
		return nil, fmt.Errorf("the trace could not be created: %w", err)
	}
	writer, err := NewWriter(file, layout, options...)
	if err == nil {
		err = writer.Flush()
	}
	if err == nil {
		err = writeWhole(SidecarPath(path), sidecar.Bytes())
	}
	if err != nil {
		file.Close()
		os.Remove(path)
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return &File{Writer: writer, file: file}, nil
}

// Close flushes the rows, makes them durable and closes the file.
func (f *File) Close() error {
	err := f.Flush()
	if syncErr := f.file.Sync(); syncErr != nil && err == nil {
		err = fmt.Errorf("the trace could not be made durable: %w", syncErr)
	}
	if closeErr := f.file.Close(); closeErr != nil && err == nil {
		err = fmt.Errorf("the trace could not be closed: %w", closeErr)
	}
	return err
}

// writeWhole puts a file in place in one step, so that whoever looks sees all of
// it or none, and after a power loss too.
func writeWhole(path string, text []byte) error {
	draft, err := os.CreateTemp(filepath.Dir(path), ".sidecar-*")
	if err != nil {
		return fmt.Errorf("the sidecar could not be created: %w", err)
	}
	_, err = draft.Write(text)
	if err == nil {
		err = draft.Chmod(0o644)
	}
	if err == nil {
		err = draft.Sync()
	}
	if closeErr := draft.Close(); err == nil {
		err = closeErr
	}
	if err == nil {
		err = os.Rename(draft.Name(), path)
	}
	if err != nil {
		os.Remove(draft.Name())
		return fmt.Errorf("the sidecar could not be written: %w", err)
	}
	if err := syncDirectory(filepath.Dir(path)); err != nil {
		os.Remove(path)
		return fmt.Errorf("the sidecar could not be made durable: %w", err)
	}
	return nil
}

// syncDirectory makes the names in a directory durable.
func syncDirectory(path string) error {
	directory, err := os.Open(path)
	if err != nil {
		return err
	}
	defer directory.Close()
	return directory.Sync()
}
