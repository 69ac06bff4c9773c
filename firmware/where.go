package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"bathtender/firmware/cli"
	"bathtender/firmware/fileerror"
	"bathtender/firmware/journal"
	"bathtender/hal/quantity"
)

// where tells where the trace of the record is, and what it says happened.
func (p *page) where() {
	e := &p.record.entry
	if p.trace == nil {
		if e.Kind == journal.TripKind || e.Kind == journal.LockoutKind {
			p.print("\nno black-box window was kept for this record\n")
		}
		return
	}
	if p.sheet == nil {
		p.print("\n%s: %s\n", p.trace.what, p.absence())
		return
	}
	origin := ""
	if p.meta.Origin != "" {
		origin = ", " + string(p.meta.Origin)
	}
	rows := p.sheet.Rows
	if len(rows) == 0 {
		p.print("\n%s: %s holds no row\n", p.trace.what, p.path(p.trace.path()))
		return
	}
	p.print("\n%s: %s, %s from %s to %s%s\n", p.trace.what, p.path(p.trace.path()), quantity.Count(len(rows), "row"),
		relative(rows[0].Time-p.trace.zero), relative(rows[len(rows)-1].Time-p.trace.zero), origin)
	for i := range rows {
		if rows[i].Events != "" {
			p.print("  %12s  %s\n", relative(rows[i].Time-p.trace.zero), oneLine(rows[i].Events))
		}
	}
}

// absence says why the trace is not there.
func (p *page) absence() string {
	path := p.path(p.trace.path())
	switch {
	case len(p.faults) > 0:
		return path + " cannot be read"
	case p.gone != nil:
		return fmt.Sprintf("%s is not there; record %d: %s", path, p.gone.Seq, sentence(p.gone))
	default:
		return path + " is not there: the power went before it was written, or it was removed"
	}
}

// draw writes the picture of the record's trace.
func (p *page) draw(name string) error {
	e := &p.record.entry
	switch {
	case p.trace == nil:
		return fmt.Errorf("there is no picture of record %d, which has no trace: trips, lockouts, starts and ends of sessions have one", e.Seq)
	case p.sheet == nil:
		return fmt.Errorf("there is no picture of record %d: %s", e.Seq, p.absence())
	}
	p.sheet.Title = sentence(e)
	about := []string{fmt.Sprintf("record %d, %s", e.Seq, e.Wall.In(p.zone).Format("2006-01-02 15:04:05 MST"))}
	if p.meta.Program != "" {
		about = append(about, fmt.Sprintf("a %s trace of version %s", p.meta.Origin, p.meta.Program))
	}
	p.sheet.About = strings.Join(append(about, p.trace.path()), "; ")
	var text bytes.Buffer
	if err := p.sheet.Write(&text); err != nil {
		return err
	}
	if err := os.WriteFile(name, text.Bytes(), 0o644); err != nil {
		return fmt.Errorf("the picture %q cannot be written: %w", name, fileerror.Cause(err))
	}
	return nil
}

// outside refuses a file that would lie in the journal, which is only read.
func outside(folder, name string) error {
	if real, err := filepath.EvalSymlinks(name); err == nil {
		name = real
	}
	whole := func(path string) string {
		if real, err := filepath.EvalSymlinks(path); err == nil {
			path = real
		}
		if full, err := filepath.Abs(path); err == nil {
			path = full
		}
		return path
	}
	in, err := filepath.Rel(whole(folder), whole(filepath.Dir(name)))
	if err == nil && in != ".." && !strings.HasPrefix(in, ".."+string(filepath.Separator)) {
		return cli.UsageError(fmt.Sprintf("picture %q would lie in the journal, which is only read; allowed is another folder", name))
	}
	return nil
}
