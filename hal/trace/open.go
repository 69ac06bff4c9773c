package trace

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	words "bathtender/hal/quantity"
)

// Recording is a trace that is read from a file, with its sidecar if it has one.
type Recording struct {
	*Reader
	// Metadata is what the sidecar says; only with HasMetadata.
	Metadata    Metadata
	HasMetadata bool
	file        *os.File
}

// Open opens the trace at path and reads its header, and its sidecar if there is
// one. The sidecar must be whole and describe the columns of the header in their
// order. Messages name the trace by its file name alone.
func Open(path string) (*Recording, error) {
	meta, names, err := ReadMetadata(SidecarPath(path))
	found := err == nil
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return nil, err
	}
	file, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("the trace could not be opened: %w", err)
	}
	reader, err := NewReader(file, filepath.Base(path))
	if err == nil && found && !slices.Equal(names, reader.names) {
		err = fmt.Errorf("%s: %s", SidecarPath(path), otherColumns(names, reader.names))
	}
	if err != nil {
		file.Close()
		return nil, err
	}
	return &Recording{Reader: reader, Metadata: meta, HasMetadata: found, file: file}, nil
}

// Close closes the file.
func (r *Recording) Close() error { return r.file.Close() }

// otherColumns says where the columns of a sidecar first differ from the header.
func otherColumns(sidecar, header []string) string {
	for i := range min(len(sidecar), len(header)) {
		if sidecar[i] != header[i] {
			return fmt.Sprintf("column %d is %s and in the trace %s; expected the columns of the trace in their order", i+1, sidecar[i], header[i])
		}
	}
	return fmt.Sprintf("there are %s, and %d in the trace; expected the columns of the trace in their order", words.Count(len(sidecar), "column"), len(header))
}
