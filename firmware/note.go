package main

import (
	"crypto/rand"
	"encoding/hex"
	"errors"
	"flag"
	"fmt"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"bathtender/firmware/cli"
	"bathtender/firmware/journal"
	"bathtender/firmware/version"
	"bathtender/hal"
	"bathtender/hal/quantity"
)

const noteMore = `The text stands in quotes: note "the seal of the lid is new". Where no program
writes the journal, the note is recorded at once; else it waits in the inbox for
the program, which takes it in within seconds, or, where it is about the liquid,
once no session runs.

  note "fresh water and detergent" -kind fill -litres 19.8
  note "two tumblers" -kind top-up -litres 0.5
  note "drained for the winter" -kind drain
  note "driver changed" -kind repair -bank 3
  note "pitted evenly over the whole length" -kind foil-test -passed

A foil test: a piece of aluminium foil that hangs in the bath for a while is
pitted evenly where the cavitation is good (common practice, no source).
Hang the foil on a wire: keep your hands out of the bath while the emitters run.`

// textMost is how many characters a note may have.
const textMost = 500

// litresMost bounds what may be poured in at once.
const litresMost = 1000

// noteFlags is the command line of note.
type noteFlags struct {
	journal, kind, litres string
	bank                  uint64
	passed, failed        bool
	given                 map[string]bool
}

// note adds a record of the owner's.
func note(io cli.Streams, args []string) error {
	f := noteFlags{given: map[string]bool{}}
	s := flag.NewFlagSet("note", flag.ContinueOnError)
	s.StringVar(&f.journal, "journal", usualJournal, "`FOLDER` of the journal")
	s.StringVar(&f.kind, "kind", "note", "`KIND` of the record: "+kindWords(journal.OwnersKinds()))
	s.StringVar(&f.litres, "litres", "", "`LITRES` that were filled in or topped up")
	s.Uint64Var(&f.bank, "bank", 0, "number `N` of the bank that was repaired")
	s.BoolVar(&f.passed, "passed", false, "the foil test was passed")
	s.BoolVar(&f.failed, "failed", false, "the foil test was failed")
	words, err := program().Flags(s, io.Out, args, 1, 1)
	if err != nil {
		return err
	}
	s.Visit(func(one *flag.Flag) { f.given[one.Name] = true })
	entry, err := f.entry(words[0], time.Now())
	if err != nil {
		return cli.UsageError(err.Error())
	}
	folder, err := openJournal(f.journal)
	if err != nil {
		return err
	}
	_, err = submitNote(io, folder, entry, entry.Wall.Time)
	return err
}

// readBack says under which number a note is recorded, as the journal has it.
func readBack(io cli.Streams, folder journal.Folder, id string) error {
	var found *journal.Entry
	_, err := journal.Read(folder, func(e *journal.Entry, _ []byte) bool {
		if e.Note != nil && e.Note.ID == id {
			found = e
		}
		return found == nil
	})
	if err == nil && found == nil {
		err = errors.New("the note was recorded, and cannot be read back; log says what is damaged")
	}
	if err != nil {
		return err
	}
	fmt.Fprintf(io.Out, "recorded as number %d: %s, %s\n", found.Seq, found.Kind, sentence(found))
	return nil
}

// entry returns the record that the command line asks for.
func (f *noteFlags) entry(text string, now time.Time) (*journal.Entry, error) {
	kind, err := parseKind(f.kind, journal.OwnersKinds())
	if err != nil {
		return nil, err
	}
	if err := checkText(text); err != nil {
		return nil, err
	}
	e := &journal.Entry{
		Kind: kind, Text: text, Wall: journal.Wall{Time: now}, Program: version.Version, Note: &journal.Note{},
	}
	if e.Note.Litres, err = f.litresFor(kind); err != nil {
		return nil, err
	}
	if e.Note.Bank, err = f.bankFor(kind); err != nil {
		return nil, err
	}
	e.Note.Passed, err = f.passedFor(kind)
	return e, err
}

// checkText says what is wrong with the text of a note.
func checkText(text string) error {
	if !utf8.ValidString(text) {
		return fmt.Errorf("the text %s is not UTF-8, allowed is text in UTF-8", quantity.Quote(text))
	}
	if strings.TrimSpace(text) == "" {
		return errors.New("the text is empty, allowed are 1 to " + strconv.Itoa(textMost) + " characters")
	}
	if n := utf8.RuneCountInString(text); n > textMost {
		return fmt.Errorf("the text has %d characters, allowed are 1 to %d", n, textMost)
	}
	for _, c := range text {
		if unicode.IsControl(c) {
			return fmt.Errorf("the text has the control character %U in it, allowed is one line of plain text", c)
		}
	}
	return nil
}

func (f *noteFlags) litresFor(kind journal.Kind) (float64, error) {
	needed := kind == journal.FillKind || kind == journal.TopUpKind
	switch {
	case !needed && f.given["litres"]:
		return 0, fmt.Errorf("flag -litres does not go with the kind %s, allowed are fill and top-up", kindWord(kind))
	case needed && !f.given["litres"]:
		return 0, fmt.Errorf("the kind %s needs -litres, more than 0 and at most %d", kindWord(kind), litresMost)
	case !needed:
		return 0, nil
	}
	return parseLitres(f.litres)
}

// parseLitres reads a plain decimal number of litres.
func parseLitres(text string) (float64, error) {
	plain := text != "" && strings.Trim(text, "0123456789.") == ""
	litres, err := strconv.ParseFloat(text, 64)
	if !plain || err != nil || litres*float64(hal.Litre) < 1 || litres > litresMost {
		return 0, fmt.Errorf("litres %s cannot be, allowed is a decimal number more than 0 and at most %d, as in 19.8", quantity.Quote(text), litresMost)
	}
	return litres, nil
}

func (f *noteFlags) bankFor(kind journal.Kind) (int, error) {
	switch {
	case !f.given["bank"]:
		return 0, nil
	case kind != journal.RepairKind:
		return 0, fmt.Errorf("flag -bank does not go with the kind %s, allowed is repair", kindWord(kind))
	case f.bank < 1 || f.bank > hal.MaxBanks:
		return 0, fmt.Errorf("bank %d does not exist, allowed are 1 to %d", f.bank, hal.MaxBanks)
	}
	return int(f.bank), nil
}

func (f *noteFlags) passedFor(kind journal.Kind) (*bool, error) {
	foil := kind == journal.FoilTestKind
	switch {
	case !foil && (f.passed || f.failed):
		return nil, fmt.Errorf("flags -passed and -failed do not go with the kind %s, allowed is foil-test", kindWord(kind))
	case foil && f.passed == f.failed:
		return nil, errors.New("a foil test needs either -passed or -failed")
	case !foil:
		return nil, nil
	}
	return &f.passed, nil
}

// noteID returns a name for a note that no other has; names sort by time.
func noteID(now time.Time) (string, error) {
	var random [8]byte
	if _, err := rand.Read(random[:]); err != nil {
		return "", fmt.Errorf("there is no random name for the note: %w", err)
	}
	return now.UTC().Format("20060102T150405.000") + "-" + hex.EncodeToString(random[:]), nil
}
