package main

import (
	"bufio"
	"flag"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"bathtender/firmware/cli"
	"bathtender/firmware/journal"
	"bathtender/firmware/machine"
	"bathtender/firmware/setup"
	"bathtender/firmware/version"
	"bathtender/hal"
	"bathtender/hal/board"
	"bathtender/hal/board/clock"
	"bathtender/hal/quantity"
)

const wiringWords = `look               which line and sensor answers, and what it says
look for TIME      the same, again and again: press buttons, lift the float
pulse OUTPUT       switch one output on for a second, after its name is typed again
fan N              all fans on for eight seconds, with the tach of one of them
warm               which probe is which: warm one in your hand
help
end                write what was found into the journal`

const wiringMore = `The main contactor is locked out: it is never driven here, so that what is behind it
stays without mains. Unplug its coil all the same. Standard input takes a word a line:

` + wiringWords + `

Mains wiring is work for a licensed electrician. Drivers hold their charge for a while
after they are unplugged.`

// trial is what the wiring is tried on.
type trial interface {
	Answers() []board.Answer
	Pulse(output string, during time.Duration) error
}

// bringUp is one going through of the wiring.
type bringUp struct {
	cli.Streams
	machine *machine.Machine
	trial   trial
	probes  func() [hal.MaxProbes]*float64 // in degrees Celsius
	pause   func(time.Duration)
	lines   *bufio.Scanner
	found   []string // what goes into the journal
}

func tryWiring(streams cli.Streams, args []string) error {
	s := flag.NewFlagSet("wiring", flag.ContinueOnError)
	machineFile := s.String("machine", "", "machine `FILE`; must be given")
	journalFolder := s.String("journal", usualJournal, "`FOLDER` of the journal")
	oneWire := s.String("one-wire", "", "`FOLDER` in which the kernel shows 1-Wire devices; the usual one without")
	if _, err := program().Flags(s, streams.Out, args, 0, 0); err != nil {
		return err
	}
	if *machineFile == "" {
		return cli.UsageError("no machine file is given, allowed is -machine FILE")
	}
	m, err := machine.Load(*machineFile)
	if err != nil {
		return err
	}
	folder, err := openJournal(*journalFolder)
	if err != nil {
		return err
	}
	log := &logger{to: streams.Err}
	h, err := openHardware(m, setup.Sampling{Clock: clock.Now, Log: log.say, OneWire: *oneWire}, false)
	if err != nil {
		return err
	}
	defer func() {
		if err := h.Close(); err != nil {
			log.say(err.Error())
		}
	}()
	b := &bringUp{Streams: streams, machine: m, trial: h.board, pause: time.Sleep, probes: func() (shown [hal.MaxProbes]*float64) {
		for i, r := range h.probes.Read(clock.Now()) {
			if r.Valid {
				degrees := r.Value.Celsius()
				shown[i] = &degrees
			}
		}
		return shown
	}}
	b.talk()
	return b.keep(folder)
}

// talk does what is typed until "end" or the end of the input.
func (b *bringUp) talk() {
	fmt.Fprintf(b.Out, "The wiring of %q, with the main contactor locked out. help lists the words, end ends.\n", b.machine.Name)
	printAnswers(b.Out, b.trial.Answers())
	b.lines = bufio.NewScanner(b.In)
	for b.lines.Scan() {
		words := strings.Fields(b.lines.Text())
		switch {
		case len(words) == 0:
			continue
		case words[0] == "end" && len(words) == 1:
			return
		}
		if err := b.do(words); err != nil {
			fmt.Fprintln(b.Err, err)
		}
	}
}

func (b *bringUp) do(words []string) error {
	switch rest := strings.Join(words[1:], " "); words[0] {
	case "look":
		return b.look(rest)
	case "pulse":
		return b.pulse(rest)
	case "fan":
		return b.fan(rest)
	case "warm":
		return b.warm()
	case "help":
		fmt.Fprintln(b.Out, wiringWords)
		return nil
	default:
		return fmt.Errorf("%s is not understood; help lists the words", quantity.Quote(strings.Join(words, " ")))
	}
}

// look shows what answers, once or for a time.
func (b *bringUp) look(rest string) error {
	if rest == "" {
		printAnswers(b.Out, b.trial.Answers())
		b.note("%s", tally(b.trial.Answers()))
		return nil
	}
	text, ok := strings.CutPrefix(rest, "for ")
	if !ok {
		return fmt.Errorf("%s after look is not understood, allowed is as in look for 30 s", quantity.Quote(rest))
	}
	during, err := quantity.Duration.Parse(text)
	if err != nil {
		return err
	}
	if during <= 0 || during > 10*time.Minute {
		return fmt.Errorf("time %s is out of range, allowed is up to 10 min", quantity.Quote(text))
	}
	var last []board.Answer
	for waited := time.Duration(0); waited <= during; waited += lookEvery {
		now := b.trial.Answers()
		for i, a := range now {
			if i >= len(last) || a != last[i] {
				fmt.Fprintf(b.Out, "  %-16s %s\n", a.Name, a.Text)
				if last != nil && a.OK {
					b.note("%s was seen %s", a.Name, a.Text)
				}
			}
		}
		last = now
		b.pause(lookEvery)
	}
	return nil
}

const lookEvery = 250 * time.Millisecond

func tally(answers []board.Answer) string {
	var silent []string
	for _, a := range answers {
		if !a.OK {
			silent = append(silent, a.Name)
		}
	}
	if silent == nil {
		return fmt.Sprintf("all %d lines and sensors answer", len(answers))
	}
	return "silent: " + strings.Join(silent, ", ")
}

// outputs returns the outputs that may be tried.
func (b *bringUp) outputs() []string {
	var names []string
	for _, s := range b.machine.Signals() {
		if s.Direction == machine.DirectionOut && s.Name != board.Contactor {
			names = append(names, s.Name)
		}
	}
	return names
}

// pulse switches one output on for a second.
func (b *bringUp) pulse(name string) error {
	switch {
	case name == board.Contactor:
		return fmt.Errorf("the contactor is locked out: it would put mains on what is behind it")
	case !slices.Contains(b.outputs(), name):
		return fmt.Errorf("%s is no output of this machine, allowed are %s", quantity.Quote(name), strings.Join(b.outputs(), ", "))
	}
	if !b.confirm(name) {
		return fmt.Errorf("%s was not typed again: nothing is switched on", quantity.Quote(name))
	}
	if err := b.trial.Pulse(name, time.Second); err != nil {
		b.note("%s: %s", name, err)
		return err
	}
	fmt.Fprintf(b.Out, "%s was on for 1 s, and read back on and then off\n", name)
	b.note("%s went on and off as commanded", name)
	return nil
}

// confirm asks for a name to be typed again.
func (b *bringUp) confirm(name string) bool {
	fmt.Fprintf(b.Out, "type %q again to switch it on:\n", name)
	return b.lines.Scan() && strings.TrimSpace(b.lines.Text()) == name
}

const spin = 8 * time.Second

// fan spins all fans and shows the tach of one.
func (b *bringUp) fan(number string) error {
	n, err := strconv.Atoi(number)
	if err != nil || n < 1 || n > len(b.machine.Fans) {
		return fmt.Errorf("fan %s does not exist, allowed are 1 to %d", quantity.Quote(number), len(b.machine.Fans))
	}
	if !b.confirm(board.Fans) {
		return fmt.Errorf("%q was not typed again: nothing is switched on", board.Fans)
	}
	name := fmt.Sprintf("fan %d tach", n)
	done := make(chan error, 1)
	go func() { done <- b.trial.Pulse(board.Fans, spin) }()
	last := ""
	for {
		select {
		case err := <-done:
			b.note("%s, after %s: %s", name, quantity.FormatDuration(spin), last)
			return err
		default:
		}
		b.pause(time.Second)
		for _, a := range b.trial.Answers() {
			if a.Name == name && a.Text != last {
				last = a.Text
				fmt.Fprintf(b.Out, "  %s: %s\n", name, last)
			}
		}
	}
}

const (
	warmFor = 2 * time.Minute
	warmBy  = 2.0 // K
)

// warm tells which probe gets warm.
func (b *bringUp) warm() error {
	before := b.probes()
	fmt.Fprintln(b.Out, "Warm one probe in your hand.")
	for waited := time.Duration(0); waited < warmFor; waited += time.Second {
		b.pause(time.Second)
		for i, now := range b.probes() {
			if now == nil || before[i] == nil || *now-*before[i] < warmBy {
				continue
			}
			name := probeNames[i]
			fmt.Fprintf(b.Out, "it is %s, address %s: from %.1f to %.1f \u00b0C\n", name, b.machine.Probes[i].Address, *before[i], *now)
			b.note("the probe that was warmed is %s, address %s", name, b.machine.Probes[i].Address)
			return nil
		}
	}
	return fmt.Errorf("no probe has become %.0f K warmer within %s", warmBy, quantity.FormatDuration(warmFor))
}

func (b *bringUp) note(format string, args ...any) {
	text := fmt.Sprintf(format, args...)
	if !slices.Contains(b.found, text) {
		b.found = append(b.found, text)
	}
}

// keep writes what was found into the journal, in notes of a length that it takes.
func (b *bringUp) keep(folder journal.Folder) error {
	for len(b.found) > 0 {
		text := "wiring tried: " + b.found[0]
		b.found = b.found[1:]
		for len(b.found) > 0 && len(text)+2+len(b.found[0]) <= textMost {
			text += "; " + b.found[0]
			b.found = b.found[1:]
		}
		entry, err := newNote(journal.NoteKind, text)
		if err != nil {
			return err
		}
		if _, err := journal.Submit(folder, entry); err != nil {
			return err
		}
		fmt.Fprintf(b.Out, "into the journal: %s\n", text)
	}
	return nil
}

// newNote returns a note of the program's own words.
func newNote(kind journal.Kind, text string) (*journal.Entry, error) {
	now := time.Now()
	id, err := noteID(now)
	text = strings.Join(strings.Fields(text), " ")
	return &journal.Entry{
		Kind: kind, Text: text, Wall: journal.Wall{Time: now}, Program: version.Version, Note: &journal.Note{ID: id},
	}, err
}

// probeNames are the names of the probes by their places.
var probeNames = [hal.MaxProbes]string{"bath probe A", "bath probe B", "the cabinet probe"}
