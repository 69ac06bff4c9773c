package report

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"bathtender/firmware/fileerror"
)

// WriteFolder writes session.svg, session.png and index.html into dir, making
// dir where it is missing, and returns the paths written, in that order. Each
// file is complete or not there: it is written beside its place and then moved.
// An error is one sentence that names the path; the files before it stay.
func (r *Report) WriteFolder(dir string) ([]string, error) {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, fmt.Errorf("cannot make the report folder %q: %w", dir, fileerror.Cause(err))
	}
	sheet := r.headed()
	files := []struct {
		name  string
		write func(io.Writer) error
	}{
		{"session.svg", sheet.WriteSVG},
		{"session.png", sheet.WritePNG},
		{"index.html", r.WritePage},
	}
	var paths []string
	for _, f := range files {
		path := filepath.Join(dir, f.name)
		var b bytes.Buffer
		if err := f.write(&b); err != nil {
			return paths, fmt.Errorf("cannot draw %q: %w", path, err)
		}
		if err := place(path, b.Bytes()); err != nil {
			return paths, fmt.Errorf("cannot write %q: %w", path, fileerror.Cause(err))
		}
		paths = append(paths, path)
	}
	return paths, nil
}

// place writes a whole file in one move, so that a reader never sees half.
func place(path string, content []byte) error {
	f, err := os.CreateTemp(filepath.Dir(path), ".report-*")
	if err != nil {
		return err
	}
	_, err = f.Write(content)
	if err == nil {
		err = f.Chmod(0o644)
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		os.Remove(f.Name())
	}
	return err
}
