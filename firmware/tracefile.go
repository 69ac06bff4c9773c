package main

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"
	"time"

	"bathtender/firmware/fileerror"
	"bathtender/firmware/journal"
	"bathtender/firmware/journal/picture"
	"bathtender/hal/trace"
)

// traceFile is where the trace of a record is.
type traceFile struct {
	folder, name string
	what         string        // "black-box window" or "trace of the session"
	zero         time.Duration // what its times are told from
	mark         string        // the word for that
}

func (t *traceFile) path() string { return t.folder + "/" + t.name }

// traceOf returns the trace that goes with a record, whether or not it is there;
// nil for a record without one.
func traceOf(e *journal.Entry) *traceFile {
	t := &traceFile{folder: journal.SessionFolder, what: "trace of the session", zero: e.Mono.Duration(), mark: "start"}
	switch {
	case e.Trip != nil && e.Trip.Window != "":
		t.folder, t.name, t.what, t.mark = journal.WindowFolder, e.Trip.Window, "black-box window", string(e.Kind)
	case e.Session != nil && e.Session.Trace != "":
		t.name, t.zero = e.Session.Trace, e.Session.Began.Duration()
	case e.Kind == journal.StartKind:
		// The record of its end would name it, but the power may have gone first.
		t.name = journal.SessionName(e.Seq)
	}
	if t.name == "" || strings.ContainsAny(t.name, `/\`) || oneLine(t.name) != t.name {
		return nil // a name with a folder in it is none of the journal's
	}
	return t
}

// load reads the trace. The error is fs.ErrNotExist where it is not there; what
// else is wrong with it stands in the faults, and the rows that are good are read
// all the same.
func (t *traceFile) load(disk journal.Folder) (sheet *picture.Sheet, meta trace.Metadata, faults []string, err error) {
	data, err := disk.Read(t.path())
	if errors.Is(err, fs.ErrNotExist) && t.folder == journal.SessionFolder {
		whole := t.name
		t.name = journal.ThinnedName(whole)
		if data, err = disk.Read(t.path()); err != nil {
			t.name = whole
		}
	}
	if err != nil {
		return nil, meta, nil, fmt.Errorf("%s cannot be read: %w", t.path(), fileerror.Cause(err))
	}
	sheet = &picture.Sheet{Zero: t.zero, Mark: t.mark}
	side, err := disk.Read(trace.SidecarPath(t.path()))
	if err != nil {
		faults = append(faults, fmt.Sprintf("%s cannot be read: %v", trace.SidecarPath(t.path()), fileerror.Cause(err)))
	} else if meta, _, err = trace.ParseMetadata(side, trace.SidecarPath(t.path())); err != nil {
		faults = append(faults, err.Error())
	}
	sheet.Tick = meta.Tick
	if err := sheet.Load(data, t.path()); err != nil {
		faults = append(faults, err.Error())
	}
	return sheet, meta, faults, nil
}
