package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	goio "io"
	"os"
	"os/signal"
	"syscall"
	"time"

	"bathtender/firmware/cli"
	"bathtender/firmware/fileerror"
	"bathtender/firmware/journal"
	"bathtender/firmware/machine"
	"bathtender/firmware/prooftest"
	"bathtender/firmware/version"
)

const proofTestMore = `You stand at the cabinet and do by hand what you are told; the running program is
watched, and what it does is judged: what must be seen, how soon, what must go. At
the end the result is recorded in the journal, and with -report it is on paper. Ended
in the middle (the end of the answers, or an interrupt), what was done is kept, and
the rest counts as not tried.

What cannot be provoked safely by hand is named, with how it may be proven
otherwise, and never counts as passed. Exit status 1 means that something has failed
or that the walk was broken off.

  prooftest -list                          what there is to try, and how
  prooftest -only "airflow lost, fan 2"    one function again
  prooftest -report proof-test.html        a page to print

The drivers' supply is off at its isolator the whole time. Only plugs of low
voltage are touched; whatever is under mains is an electrician's.`

// proofFlags is the command line of prooftest.
type proofFlags struct {
	socket, journal, machine, report, only, answers, recipe string
	list                                                    bool
}

// proofTest walks its owner through the protective functions.
func proofTest(io cli.Streams, args []string) error {
	var f proofFlags
	s := flag.NewFlagSet("prooftest", flag.ContinueOnError)
	s.StringVar(&f.socket, "socket", usualControl, "control socket `FILE` of the running program")
	s.StringVar(&f.journal, "journal", usualJournal, "`FOLDER` of the journal")
	s.StringVar(&f.machine, "machine", usualMachine, "machine `FILE`")
	s.StringVar(&f.report, "report", "", "write the result into `FILE`, a page .html or a text .txt")
	s.StringVar(&f.only, "only", "", "only the function of this `NAME`, as -list has it")
	s.BoolVar(&f.list, "list", false, "only list what there is to try")
	s.StringVar(&f.answers, "answers", "", "take the answers from a `FILE`, one a line")
	s.StringVar(&f.recipe, "recipe", "", "`NAME` of a recipe that heats the bath; asked for without")
	if _, err := program().Flags(s, io.Out, args, 0, 0); err != nil {
		return err
	}
	write, err := reportForm(f.report)
	if err != nil {
		return cli.UsageError(err.Error())
	}
	m, err := machine.Load(f.machine)
	if err != nil {
		return err
	}
	steps, err := prooftest.Choose(prooftest.Plan(m), f.only)
	if err != nil {
		return cli.UsageError(err.Error())
	}
	if f.list {
		return prooftest.List(io.Out, steps)
	}
	return f.walk(io, m, steps, write)
}

// walk does the walk, and keeps what came of it.
func (f *proofFlags) walk(io cli.Streams, m *machine.Machine, steps []prooftest.Step, write func(*prooftest.Report, goio.Writer) error) error {
	folder, err := openJournal(f.journal)
	if err != nil {
		return err
	}
	in := io.In
	if f.answers != "" {
		file, err := os.Open(f.answers)
		if err != nil {
			return fmt.Errorf("the answers %q cannot be read: %w", f.answers, fileerror.Cause(err))
		}
		defer file.Close()
		in = file
	}
	program := prooftest.NewSocket(f.socket)
	view, err := program.View()
	if err != nil {
		return err
	}
	if view.Machine != m.Name {
		return fmt.Errorf("the running program watches %q, and the machine file %s is that of %q", view.Machine, f.machine, m.Name)
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	config := m.Interlock()
	walk := prooftest.Walk{
		Steps: steps, Recipe: f.recipe, Tick: config.Tick, Idle: prooftest.IdleWatts(&config),
		Watcher: program, Talk: prooftest.NewTalk(ctx, in, io.Out),
	}
	results, broken := walk.Run()
	return f.keep(io, folder, m, results, broken, write)
}

// keep records the result, and writes the report. Nothing of it is lost because the
// other fails.
func (f *proofFlags) keep(io cli.Streams, folder journal.Folder, m *machine.Machine, results []prooftest.Result, broken error, write func(*prooftest.Report, goio.Writer) error) error {
	now := time.Now()
	r := prooftest.Report{
		Machine: m.Name, Fingerprint: m.Fingerprint, Program: version.Version, Wall: now, Results: results,
		Whole: f.only == "", Next: prooftest.NextDue(journal.Day(now), m.Care.ProofTest),
	}
	if broken != nil {
		r.Broken = broken.Error()
	}
	if broken != nil || !r.Whole {
		r.Next = "this was no whole proof test, and moves the date of the next one by nothing"
	}
	fmt.Fprintf(io.Out, "\n%s\n%s\n", r.Tally(), r.Next)
	_, recordErr := submitNote(io, folder, &journal.Entry{
		Kind: journal.ProofTestKind, Text: "proof test: " + r.Tally(), Machine: m.Fingerprint[:16],
		Note: &journal.Note{ProofTest: prooftest.Record(results, r.Whole, broken != nil)},
	}, now)
	var reportErr error
	if write != nil {
		reportErr = writeReport(f.report, &r, write)
	}
	if err := errors.Join(recordErr, reportErr); err != nil {
		return err
	}
	if broken != nil || prooftest.Count(results).Failed > 0 {
		return cli.ErrFailed
	}
	return nil
}
