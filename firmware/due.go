package main

import (
	"flag"
	"fmt"
	"time"

	"bathtender/firmware/care"
	"bathtender/firmware/cli"
	"bathtender/firmware/journal"
	"bathtender/firmware/machine"
)

const dueMore = `What is due goes by the table [care] of the machine file and by what the journal
holds: fills, sessions, proof tests and foil tests. Nothing stops because something is
due. The exit status is 0 whether something is due or not.`

// due says what the tank is due for.
func due(io cli.Streams, args []string) error {
	s := flag.NewFlagSet("due", flag.ContinueOnError)
	file := s.String("machine", usualMachine, "machine `FILE`")
	folder := s.String("journal", usualJournal, "`FOLDER` of the journal")
	if _, err := program().Flags(s, io.Out, args, 0, 0); err != nil {
		return err
	}
	m, err := machine.Load(*file)
	if err != nil {
		return err
	}
	disk, err := openJournal(*folder)
	if err != nil {
		return err
	}
	history, damages, err := care.ReadHistory(disk)
	if err != nil {
		return err
	}
	for _, d := range damages {
		fmt.Fprintln(io.Err, d)
	}
	if history.RecordErr != nil {
		fmt.Fprintf(io.Err, "what health has kept cannot be used: %s\n", history.RecordErr)
	}
	facts := care.FactsOf(m, &history.Record, history.Tests)
	list := care.Due(journal.Day(time.Now()), facts, care.LimitsOf(m))
	for _, text := range list {
		fmt.Fprintln(io.Out, text)
	}
	if len(list) == 0 {
		fmt.Fprintln(io.Out, "nothing is due")
	}
	if len(damages) > 0 || history.RecordErr != nil {
		return cli.ErrFailed
	}
	return nil
}
