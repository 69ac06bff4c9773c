package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"strings"
	"syscall"

	"bathtender/firmware/cli"
	"bathtender/hal/quantity"
	"bathtender/sim/bench"
	"bathtender/sim/scenario"
)

// benching is one bench on its way.
type benching struct {
	cli.Streams
	machine string
	recipes []string
	trace   string
	quiet   bool
	traces  *bench.Traces
}

// handOnBench plays scripts of the bench, or reads statements from a prompt or
// from standard input.
func handOnBench(io cli.Streams, args []string) error {
	s := flag.NewFlagSet("bench", flag.ContinueOnError)
	machineFile := s.String("machine", "", "machine `FILE`; the built-in demo tank without")
	recipes := recipeFlag(s)
	traceFile := s.String("trace", "", "`FILE` to write a trace to, which a replay can take; a restart begins another")
	keep := s.String("keep", "", "`FILE` to keep what is typed in, as a script that does the same again")
	quiet := s.Bool("quiet", false, "print only what was expected in vain, and how it went")
	words, err := flags(s, io.Out, args, 0, math.MaxInt)
	if err != nil {
		return err
	}
	b := &benching{Streams: io, machine: *machineFile, recipes: *recipes, trace: *traceFile, quiet: *quiet}
	switch {
	case len(words) == 0:
		return b.talk(*keep)
	case *keep != "":
		return usageError(fmt.Sprintf("keep %q is for what is typed, allowed is a bench without a script", *keep))
	case *traceFile != "" && len(words) > 1:
		return usageError(fmt.Sprintf("trace %q is for one script, allowed is one of the %d", *traceFile, len(words)))
	}
	failed := false
	for _, name := range words {
		switch err := b.play(name); {
		case errors.Is(err, errFailed):
			failed = true
		case err != nil:
			fmt.Fprintln(io.Err, err) // the others are played all the same
			failed = true
		}
	}
	if failed {
		return errFailed
	}
	return nil
}

// source reads statements under a name.
func (b *benching) source(name string) *bench.Source {
	return &bench.Source{Name: name, Machine: b.machine, Recipes: b.recipes, Load: benchCabinet}
}

func benchCabinet(machine string, recipes []string) (bench.Cabinet, error) {
	c, err := loadCabinet(machine, recipes)
	return bench.Cabinet{Machine: c.machine, Recipes: c.recipes, Config: c.config}, err
}

// session returns a session that tells what happens.
func (b *benching) session() *bench.Session {
	s := &bench.Session{Out: b.Out, Fail: func(sentence string) { fmt.Fprintln(b.Err, sentence) }}
	if b.quiet {
		s.Out = io.Discard
	} else {
		s.Tell = func(l scenario.Line) { tellLine(b.Out, l) }
	}
	return s
}

// record begins the trace, where one is wanted.
func (b *benching) record(s *bench.Session) (err error) {
	if b.trace == "" {
		return nil
	}
	if b.traces, err = bench.NewTraces(b.trace, s.Bench); err != nil {
		return err
	}
	s.Ticked, s.Restarted = b.traces.Tick, b.traces.Restart
	return nil
}

// play plays one script.
func (b *benching) play(name string) error {
	data, err := os.ReadFile(name)
	if err != nil {
		return unreadable("script", name, err)
	}
	script, err := bench.ReadScript(b.source(name), string(data))
	if err != nil {
		return err
	}
	if !b.quiet {
		fmt.Fprintf(b.Out, "%s: %s on the bench\n\n", name, script.Cabinet.Machine.Name)
		tellLegend(b.Out)
	}
	s := b.session()
	s.Bench = bench.New(script.Cabinet)
	if err := b.record(s); err != nil {
		return err
	}
	err = script.Run(s, func(st *bench.Statement) { b.echo(s, st) })
	return b.finish(name, s, 0, err)
}

// echo prints a statement that does something, as a line of the story.
func (b *benching) echo(s *bench.Session, st *bench.Statement) {
	if word, _, _ := strings.Cut(st.Text, " "); b.quiet || word == "expect" || word == "wait" {
		return
	}
	tellLine(b.Out, scenario.Line{At: s.Bench.Now(), Severity: scenario.World, Text: st.Text})
}

// finish ends the trace, and says how it went; so many statements could not be
// read.
func (b *benching) finish(name string, s *bench.Session, wrong int, err error) error {
	if closed := b.close(); err == nil {
		err = closed
	}
	if err != nil {
		return err
	}
	if wrong > 0 {
		fmt.Fprintf(b.Out, "failed: %s, %s, %s that could not be read\n", name, quantity.Count(s.Failed, "failure"), quantity.Count(wrong, "statement"))
		return errFailed
	}
	if s.Failed > 0 {
		fmt.Fprintf(b.Out, "failed: %s, %s\n", name, quantity.Count(s.Failed, "failure"))
		return errFailed
	}
	fmt.Fprintf(b.Out, "passed: %s, %s\n", name, quantity.Count(s.Expected, "expectation"))
	return nil
}

func (b *benching) close() error {
	if b.traces == nil {
		return nil
	}
	err := b.traces.Close()
	for _, path := range b.traces.Paths {
		if !b.quiet {
			fmt.Fprintf(b.Out, "trace: %s\n", path)
		}
	}
	return err
}

// talk reads statements one by one.
func (b *benching) talk(keep string) error {
	t := &bench.Talk{Source: b.source("standard input"), Session: b.session()}
	t.Begun = func(*bench.Bench) error { return b.record(t.Session) }
	if keep != "" {
		kept, err := bench.Keep(keep)
		if err != nil {
			return err
		}
		t.Keep = kept
	}
	leave := func(s os.Signal) {
		b.close() // the process ends: there is nobody to tell
		code := cli.Failed
		if number, ok := s.(syscall.Signal); ok {
			code = 128 + int(number)
		}
		os.Exit(code)
	}
	prompt, typed := bench.NewPrompt(b.In, screen(b.Streams), leave)
	if !typed {
		if !b.quiet {
			tellLegend(b.Out)
		}
		t.Lines = bench.NewPlain(b.In)
		t.Each = func(st *bench.Statement) { b.echo(t.Session, st) }
		return b.end(t, t.Run(), false)
	}
	defer prompt.Close()
	t.Source.Name, t.Lines, t.Stopped = "prompt", prompt, prompt.Stopped
	prompt.Complete(t.Source.Complete)
	t.Done = func(st *bench.Statement, did string, met int) {
		switch {
		case strings.HasPrefix(did, "#"):
			fmt.Fprintln(b.Out, "cut short before the first tick")
		case did != st.Text:
			fmt.Fprintf(b.Out, "cut short: %s\n", did)
		case met > 0:
			fmt.Fprintln(b.Out, "as expected")
		}
	}
	fmt.Fprintln(b.Out, "A hand on the bench: the shipped supervisor and no tank. help lists the words, quit ends.")
	tellLegend(b.Out)
	return b.end(t, t.Run(), true)
}

// screen returns where a prompt may be shown: standard output as it is, since
// the stream of a verb no longer tells whether it is a terminal.
func screen(s cli.Streams) io.Writer {
	if s.In == os.Stdin {
		return os.Stdout
	}
	return s.Out
}

// end says how a talk went. A slip at a prompt is no failure.
func (b *benching) end(t *bench.Talk, err error, typed bool) error {
	if t.Keep != nil {
		err = errors.Join(err, t.Keep.Close())
	}
	wrong := t.Wrong
	if typed {
		wrong = 0
	}
	if typed && t.Expected+t.Failed == 0 && err == nil {
		return b.close()
	}
	return b.finish(t.Source.Name, t.Session, wrong, err)
}
