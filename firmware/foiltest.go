package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/signal"
	"strings"
	"syscall"
	"time"

	"bathtender/firmware/cli"
	"bathtender/firmware/journal"
	"bathtender/firmware/prooftest"
)

const foilTestMore = `Before: degas the liquid and let it cool. Hang a strip of aluminium foil, as long as the
tank and as deep as the liquid, on a wire, with nothing else in the tank; keep your
hands out of the bath. Start the recipe foil-test: ten to twenty seconds of emission.
Take the foil out once everything is off, and answer how it looks.

  even    evenly peppered with pits and dents over the whole length: passed
  bare    a patch without any: failed; it is asked where, since the bank under it may
          be short, out of service, or come off
  none    nothing anywhere: failed; was the liquid degassed, did anything emit?

How to read a foil is common practice, no source. Compare each with the first one of
the new tank: keep them, with their dates.`

// foilTest asks how the foil looks, and records it.
func foilTest(io cli.Streams, args []string) error {
	s := flag.NewFlagSet("foiltest", flag.ContinueOnError)
	where := s.String("journal", usualJournal, "`FOLDER` of the journal")
	if _, err := program().Flags(s, io.Out, args, 0, 0); err != nil {
		return err
	}
	folder, err := openJournal(*where)
	if err != nil {
		return err
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	talk := prooftest.NewTalk(ctx, io.In, io.Out)
	passed, text, err := readFoil(talk)
	if err != nil {
		return err
	}
	_, err = submitNote(io, folder, &journal.Entry{Kind: journal.FoilTestKind, Text: text, Note: &journal.Note{Passed: &passed}}, time.Now())
	return err
}

var errNoFoil = errors.New("nobody answers, so no foil test is recorded")

// readFoil asks how the foil looks.
func readFoil(talk *prooftest.Talk) (passed bool, text string, err error) {
	switch talk.Choose("How does the foil look?", []string{"even", "bare", "none"}) {
	case "even":
		return true, "evenly peppered over the whole length", nil
	case "none":
		return false, "no pits anywhere", nil
	case "bare":
		for {
			place, ok := talk.Words("Where is the bare patch, as in \"left end\" or \"over bank 3\"?")
			if !ok {
				return false, "", errNoFoil
			}
			place = strings.TrimSpace(place)
			if err := checkText(place); err != nil {
				talk.Say("%s.", err)
				continue
			}
			text = fmt.Sprintf("bare patch: %s", place)
			if err := checkText(text); err != nil {
				talk.Say("%s.", err)
				continue
			}
			return false, text, nil
		}
	}
	return false, "", errNoFoil
}
