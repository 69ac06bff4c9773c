package journal

import (
	"bytes"
	"fmt"

	"bathtender/firmware/fileerror"
	"bathtender/hal/trace"
)

// recording is a trace that grows on a disk. Rows wait in memory until they are
// written; after an error the file is opened and they are written again.
type recording struct {
	disk    Disk
	name    string // with its folder
	sidecar []byte // until it is written
	file    File
	size    int64 // of what is durable
	rows    bytes.Buffer
	writer  *trace.Writer
}

func newRecording(disk Disk, name string, layout trace.Layout, meta trace.Metadata) (*recording, error) {
	r := &recording{disk: disk, name: name}
	columns, err := layout.Names()
	if err != nil {
		return nil, err
	}
	var sidecar bytes.Buffer
	if err := trace.WriteMetadata(&sidecar, name, columns, meta); err != nil {
		return nil, err
	}
	r.sidecar = sidecar.Bytes()
	r.writer, err = trace.NewWriter(&r.rows, layout)
	return r, err
}

func (r *recording) write(row *trace.Row) error { return r.writer.Write(row) }

// flush makes all rows so far durable.
func (r *recording) flush() error {
	if err := r.writer.Flush(); err != nil {
		return err
	}
	if r.rows.Len() == 0 {
		return nil
	}
	if err := r.put(); err != nil {
		r.close()
		return fmt.Errorf("%s cannot be written: %w", r.name, fileerror.Cause(err))
	}
	return nil
}

func (r *recording) put() (err error) {
	if r.sidecar != nil {
		if err := r.disk.Replace(trace.SidecarPath(r.name), r.sidecar); err != nil {
			return err
		}
		r.sidecar = nil
	}
	if r.file == nil {
		if r.file, err = r.disk.Open(r.name); err != nil {
			return err
		}
		if err := r.file.Truncate(r.size); err != nil {
			return err
		}
	}
	if _, err := r.file.WriteAt(r.rows.Bytes(), r.size); err != nil {
		return err
	}
	if err := r.file.Sync(); err != nil {
		return err
	}
	r.size += int64(r.rows.Len())
	r.rows.Reset()
	return nil
}

func (r *recording) close() {
	if r.file != nil {
		r.file.Close()
		r.file = nil
	}
}
