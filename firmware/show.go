package main

import (
	"bufio"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"strconv"
	"time"

	"bathtender/firmware/cli"
	"bathtender/firmware/journal"
	"bathtender/firmware/journal/picture"
	"bathtender/hal/quantity"
	"bathtender/hal/trace"
)

// showRecord shows one record in full.
func showRecord(streams cli.Streams, disk journal.Folder, f *logFlags) ([]string, error) {
	if f.picture != "" {
		if err := outside(string(disk), f.picture); err != nil {
			return nil, err
		}
	}
	found := finding{number: f.show}
	damages, err := journal.Read(disk, found.take)
	if err != nil {
		return nil, err
	}
	texts := sentences(damages)
	switch {
	case found.record == nil && found.last == 0:
		return texts, fmt.Errorf("there is no record %d: the journal holds no record yet", f.show)
	case found.record == nil && f.show >= found.first && f.show <= found.last:
		return texts, fmt.Errorf("there is no record %d: it is missing from the journal", f.show)
	case found.record == nil:
		return texts, fmt.Errorf("there is no record %d, allowed are %d to %d", f.show, found.first, found.last)
	}
	out := bufio.NewWriter(streams.Out)
	if f.json {
		if err := (lines{out}).put(found.record); err != nil {
			return nil, err
		}
		return texts, out.Flush()
	}
	p := &page{plain: plain{out: out, zone: f.zone}, disk: disk, finding: &found}
	p.load()
	p.show()
	texts = append(texts, p.faults...)
	if p.err == nil {
		p.err = out.Flush()
	}
	if p.err == nil && f.picture != "" {
		p.err = p.draw(f.picture)
		if p.err == nil {
			_, p.err = fmt.Fprintf(streams.Out, "\npicture: %s\n", f.picture)
		}
	}
	return texts, p.err
}

// page is one record in full, with the trace that goes with it.
type page struct {
	plain
	*finding
	disk   journal.Folder
	trace  *traceFile     // nil where the record has none
	sheet  *picture.Sheet // nil where the trace is not there
	meta   trace.Metadata
	absent error // why it is not there
	faults []string
}

func (p *page) load() {
	if p.trace = traceOf(&p.record.entry); p.trace == nil {
		return
	}
	p.sheet, p.meta, p.faults, p.absent = p.trace.load(p.disk)
	if p.absent != nil && !errors.Is(p.absent, fs.ErrNotExist) {
		p.faults = append(p.faults, p.absent.Error())
	}
}

// fact prints a line of a name and what is to be said about it.
func (p *page) fact(name, format string, args ...any) {
	p.print("  %-17s  %s\n", name, fmt.Sprintf(format, args...))
}

func (p *page) show() {
	e := &p.record.entry
	p.print("record %d: %s\n%s\n\n", e.Seq, oneLine(string(e.Kind)), sentence(e))
	p.when(e)
	if e.Trip != nil {
		p.fact("function", "%s", functionName(e.Trip))
		if e.Trip.FirstOut {
			p.fact("first-out", "yes: it was the first cause of the shutdown")
		}
	}
	if e.Recipe != "" && e.Session == nil {
		p.fact("recipe", "%s", oneLine(e.Recipe))
	}
	p.fact("program", "version %s", oneLine(e.Program))
	p.machine(e.Machine)
	p.rest(e)
	p.followed()
	p.where()
}

// rest shows what only some records have.
func (p *page) rest(e *journal.Entry) {
	if e.Session != nil {
		p.session(e.Session)
	}
	if e.Kept != nil {
		p.kept(e.Kept)
	}
	if e.Lost != nil {
		p.fact("events lost", "%d", e.Lost.Events)
		p.fact("rows lost", "%d", e.Lost.Rows)
		p.fact("because", "%s", oneLine(e.Lost.Why))
	}
	for _, fingerprint := range e.Files {
		p.file("file in use", fingerprint)
	}
	for _, m := range unknownMembers(p.record.line) {
		p.fact("also", "%s, which this version does not know: %s", oneLine(m.name), oneLine(m.text))
	}
	if e.Trip != nil && len(e.Trip.Readings) > 0 {
		p.readings(e.Trip)
	}
}

// when tells the time of a record by both clocks.
func (p *page) when(e *journal.Entry) {
	wall := e.Wall.In(p.zone)
	p.fact("wall clock", "%s", wall.Format("2006-01-02 15:04:05.000 MST"))
	if journal.Day(e.Wall.Time) == 0 {
		p.fact("", "the clock cannot have been right: it had not been set")
	}
	if ownersNote(e) {
		p.fact("program's clock", "none: the program did not run; its last start was number %d", e.Boot)
		return
	}
	p.fact("program's clock", "%s after start number %d (%s s)", quantity.FormatDuration(e.Mono.Duration()), e.Boot, trace.FormatSeconds(e.Mono.Duration()))
}

func (p *page) machine(fingerprint string) {
	if fingerprint == "" {
		return // an owner's note of a program that did not run
	}
	p.file("machine file", fingerprint)
}

// file tells a fingerprint and whether the journal has a copy of the file.
func (p *page) file(name, fingerprint string) {
	short := oneLine(fingerprint)
	if len(short) > 16 {
		short = short[:16]
	}
	for _, c := range []byte(short) {
		if (c < '0' || c > '9') && (c < 'a' || c > 'f') {
			p.fact(name, "%s, which is no fingerprint", short)
			return
		}
	}
	copied := journal.FileName(fingerprint)
	if _, err := p.disk.Read(copied); err != nil {
		p.fact(name, "fingerprint %s; there is no copy of it at %s", short, p.path(copied))
		return
	}
	p.fact(name, "fingerprint %s, as in %s", short, p.path(copied))
}

func (p *page) path(name string) string {
	return filepath.Join(string(p.disk), filepath.FromSlash(name))
}

// followed tells the records after this one.
func (p *page) followed() {
	if len(p.after) == 0 {
		p.print("\nno record followed within %s\n", quantity.FormatDuration(afterMost))
		return
	}
	p.print("\nwhat followed, for %s or up to the program's next start\n", quantity.FormatDuration(afterMost))
	for i := range p.after {
		one := &p.after[i]
		at := "then"
		if one.known {
			at = relative(one.after)
		}
		p.print("  %10s  %7d  %-10s  %s\n", at, one.entry.Seq, oneLine(string(one.entry.Kind)), sentence(&one.entry))
	}
}

// relative returns a time seen from another: "-12.3 s", "+4.0 s", "+28 min 24 s".
func relative(d time.Duration) string {
	sign, size := "+", d
	if d < 0 {
		sign, size = "-", -d
	}
	if size < 10*time.Minute {
		return sign + strconv.FormatFloat(size.Seconds(), 'f', 1, 64) + " s"
	}
	return sign + quantity.FormatDuration(size)
}
