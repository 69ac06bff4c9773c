package main

import (
	"errors"
	"flag"
	"fmt"
	"time"

	"bathtender/firmware/cli"
)

const logMore = `The journal is only read, also while another program writes it; nothing is made
or changed. Records are listed oldest first, the newest 40 unless -last says how
many; notes that wait for the running program come last. What is damaged is told
on standard error, and the exit status is then 1. A "?" after a time says that the
clock cannot have been right.

-kind takes the kinds with commas between them, a hyphen for a space:
  boot, shutdown, start, session, trip, lockout, reset, refused, finding, note,
  fill, drain, top-up, repair, foil-test, proof-test, baselines, lost, damage,
  thinned
-since and -until take a date (2026-01-31), a date and time ("2026-01-31 14:30")
or a time back ("7 days", "36 h"). They go by the clock on the wall, which may
have been wrong; -boot goes by the starts of the program. -until counts a date
with the whole day. -text looks for the words as they stand, in sentence,
protective function and recipe.

-json writes the records as they are stored, one a line, -csv a table (RFC 4180,
with the line ends of a trace); both write all that fit unless -last says how
many.

-show N shows a record in full, with what followed it; -picture FILE.svg draws
the window of a trip, or the trace of a session. Larger pictures, and why it was
decided so, are the simulator's to make of the same window:
  bathtender-sim replay WINDOW -report FOLDER`

// lastUsually is how many records a list has unless it is told otherwise.
const lastUsually = 40

// logFlags is the command line of log.
type logFlags struct {
	journal             string
	kinds, since, until string
	text, picture       string
	boot, last, show    uint64
	utc, json, csv      bool
	given               map[string]bool
	zone                *time.Location
	choice              choice
}

// readLog lists the journal, or shows one record of it.
func readLog(io cli.Streams, args []string) error {
	f, err := parseLogFlags(io, args)
	if err != nil {
		return err
	}
	disk, err := openJournal(f.journal)
	if err != nil {
		return err
	}
	var damages []string
	if f.given["show"] {
		damages, err = showRecord(io, disk, f)
	} else {
		damages, err = listRecords(io, disk, f)
	}
	for _, text := range damages {
		fmt.Fprintln(io.Err, text)
	}
	if err == nil && len(damages) > 0 {
		return cli.ErrFailed
	}
	return err
}

func parseLogFlags(io cli.Streams, args []string) (*logFlags, error) {
	f := &logFlags{given: map[string]bool{}, zone: time.Local}
	s := flag.NewFlagSet("log", flag.ContinueOnError)
	s.StringVar(&f.journal, "journal", usualJournal, "`FOLDER` of the journal")
	s.StringVar(&f.kinds, "kind", "", "only records of these `KINDS`, as in trip,lockout")
	s.StringVar(&f.since, "since", "", "only records from this `TIME` on")
	s.StringVar(&f.until, "until", "", "only records up to this `TIME`")
	s.StringVar(&f.text, "text", "", "only records with these `WORDS`, capitals or not")
	s.Uint64Var(&f.boot, "boot", 0, "only records of the program's start number `N`; 0 for all")
	s.Uint64Var(&f.last, "last", lastUsually, "only the newest `N` of the records that fit; 0 for all")
	s.BoolVar(&f.utc, "utc", false, "tell times in UTC, not in the local time zone")
	s.BoolVar(&f.json, "json", false, "write the records as they are stored")
	s.BoolVar(&f.csv, "csv", false, "write the records as a table")
	s.Uint64Var(&f.show, "show", 0, "show record number `N` in full")
	s.StringVar(&f.picture, "picture", "", "draw the window of the record that is shown into `FILE.svg`")
	if _, err := program().Flags(s, io.Out, args, 0, 0); err != nil {
		return nil, err
	}
	s.Visit(func(one *flag.Flag) { f.given[one.Name] = true })
	if f.utc {
		f.zone = time.UTC
	}
	if (f.json || f.csv) && !f.given["last"] {
		f.last = 0
	}
	if err := f.check(); err != nil {
		return nil, cli.UsageError(err.Error())
	}
	return f, nil
}

// check says which flags do not go together, and reads the choice.
func (f *logFlags) check() (err error) {
	if f.given["show"] {
		for _, name := range []string{"kind", "since", "until", "text", "boot", "last", "csv"} {
			if f.given[name] {
				return fmt.Errorf("flag -%s does not go with -show, which shows one record", name)
			}
		}
		if f.show == 0 {
			return errors.New("show 0 is no record, allowed are numbers from 1")
		}
	}
	switch {
	case f.given["picture"] && !f.given["show"]:
		return errors.New("flag -picture needs -show with the number of a record")
	case f.given["picture"] && f.picture == "":
		return errors.New("picture has no name, allowed is FILE.svg")
	case f.json && f.csv:
		return errors.New("flags -json and -csv do not go together")
	case f.json && f.given["picture"]:
		return errors.New("flags -json and -picture do not go together")
	}
	f.choice, err = newChoice(f.kinds, f.since, f.until, f.text, f.boot, time.Now(), f.zone)
	return err
}
