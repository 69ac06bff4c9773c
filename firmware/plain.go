package main

import (
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"
	"unicode"

	"bathtender/firmware/journal"
	"bathtender/hal/quantity"
)

// plain writes records for people, one a line.
type plain struct {
	out  io.Writer
	zone *time.Location
	err  error
}

func (p *plain) print(format string, args ...any) {
	if _, err := fmt.Fprintf(p.out, format, args...); p.err == nil {
		p.err = err
	}
}

// heading says what of the records is not in the list.
func (p *plain) heading(pick *picking, damaged bool) {
	switch left := pick.fit - len(pick.kept); {
	case pick.seen == 0 && damaged:
		p.print("no record of the journal can be read\n")
	case pick.seen == 0:
		p.print("the journal holds no record yet\n")
	case pick.fit == 0:
		p.print("none of the journal's %s fits\n", quantity.Count(pick.seen, "record"))
	case pick.last > 0 && left > 0:
		p.print("  %s before these; -last 0 lists all\n", quantity.Count(left, "record"))
	}
}

func (p *plain) put(r *record) error {
	p.row(strconv.FormatUint(r.entry.Seq, 10), &r.entry)
	return p.err
}

// waiting writes a note that is not recorded yet.
func (p *plain) waiting(e *journal.Entry) { p.row("waiting", e) }

func (p *plain) row(number string, e *journal.Entry) {
	p.print("%7s  %-20s  %-10s  %s\n", number, stamp(e.Wall.Time, p.zone), oneLine(string(e.Kind)), sentence(e))
}

func (p *plain) end() error { return p.err }

// stamp returns a wall time to the second. A clock that cannot have been right
// has a question mark.
func stamp(wall time.Time, zone *time.Location) string {
	text := wall.In(zone).Format("2006-01-02 15:04:05")
	if journal.Day(wall) == 0 {
		text += "?"
	}
	return text
}

// sentence returns a record's sentence, and what an owner's record says besides.
func sentence(e *journal.Entry) string {
	var also []string
	if n := e.Note; n != nil {
		if n.Litres != 0 {
			also = append(also, strconv.FormatFloat(n.Litres, 'f', -1, 64)+" l")
		}
		if n.Bank != 0 {
			also = append(also, "bank "+strconv.Itoa(n.Bank))
		}
		if n.Passed != nil {
			also = append(also, passedWord(*n.Passed))
		}
	}
	text := oneLine(e.Text)
	if also != nil {
		text += " (" + strings.Join(also, ", ") + ")"
	}
	return text
}

func passedWord(passed bool) string {
	if passed {
		return "passed"
	}
	return "failed"
}

// oneLine makes a text of a file fit for a terminal: what would break the line
// is a space, what cannot be seen is U+FFFD.
func oneLine(text string) string {
	return strings.Map(func(c rune) rune {
		switch {
		case unicode.IsSpace(c):
			return ' '
		case !unicode.IsPrint(c):
			return '\ufffd'
		}
		return c
	}, text)
}
