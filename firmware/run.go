package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"sync"
	"syscall"
	"time"

	"bathtender/firmware/cli"
	"bathtender/firmware/machine"
	"bathtender/firmware/operate"
	"bathtender/firmware/recipe"
	"bathtender/firmware/service"
	"bathtender/firmware/setup"
	"bathtender/hal/board"
	"bathtender/hal/board/clock"
	"bathtender/hal/trace"
)

const runMore = `It opens the board, prints which line and sensor answers, and ticks until it is told
to end (SIGTERM, SIGINT). However it ends, it drives all outputs off first, as far as it
is let: killed or stopped, only the hardware of docs/board.md does. Nothing is switched
on by starting it: a session begins with the START button.

Mains wiring is work for a licensed electrician. Try everything with the contactor's
coil unplugged before it is trusted.`

// firstReadings is how long the sensors are waited for before the board's table is
// printed. A 1-Wire thermometer takes three quarters of a second for a conversion.
const firstReadings = 4 * time.Second

// logger prints what has no other place, with no lines mixed.
type logger struct {
	mutex sync.Mutex
	to    io.Writer
}

func (l *logger) say(sentence string) {
	l.mutex.Lock()
	defer l.mutex.Unlock()
	fmt.Fprintln(l.to, sentence)
}

func run(streams cli.Streams, args []string) error {
	s := flag.NewFlagSet("run", flag.ContinueOnError)
	machineFile := s.String("machine", "", "machine `FILE`; must be given")
	journalFolder := s.String("journal", usualJournal, "`FOLDER` of the journal; new-journal makes one")
	sockets := s.String("sockets", usualSockets, "`FOLDER` for the sockets that status, page, start and the others ask")
	oneWire := s.String("one-wire", "", "`FOLDER` in which the kernel shows 1-Wire devices; the usual one without")
	words, err := program().Flags(s, streams.Out, args, 1, 100)
	if err != nil {
		return err
	}
	if *machineFile == "" {
		return cli.UsageError("no machine file is given, allowed is -machine FILE")
	}
	log := &logger{to: streams.Err}
	m, recipes, err := loadMachine(*machineFile, words)
	if err != nil {
		return err
	}
	folder, err := openJournal(*journalFolder)
	if err != nil {
		return err
	}
	lock, err := folder.Lock()
	if err != nil {
		return fmt.Errorf("the journal in %s cannot be written: %w", folder, err)
	}
	defer lock.Close()
	manager, err := service.Find()
	if err != nil {
		return err
	}
	hardware, err := openHardware(m, setup.Sampling{Clock: clock.Now, Log: log.say, OneWire: *oneWire}, true)
	if err != nil {
		return err
	}
	// Also on a panic: outputs off, lines given back, the watchdog ended in order.
	defer func() {
		if err := hardware.Close(); err != nil {
			log.say(err.Error())
		}
	}()
	printAnswers(streams.Out, hardware.board.Answers())

	running, err := operate.Prepare(operate.Cabinet{
		Machine: m, Recipes: recipes, Board: hardware.board, Buttons: hardware.buttons(m), Clock: realClock{},
		Wall: time.Now, Journal: folder, Origin: trace.Tank, Sockets: *sockets, Healthy: manager.Alive, Log: log.say,
	})
	if err != nil {
		return err
	}
	stop := make(chan struct{})
	signals := make(chan os.Signal, 2)
	signal.Notify(signals, os.Interrupt, syscall.SIGTERM, syscall.SIGHUP)
	defer signal.Stop(signals)
	go func() {
		log.say(fmt.Sprintf("%s: all outputs are switched off, and the program ends", <-signals))
		manager.Stopping()
		close(stop)
	}()
	for _, err := range []error{clock.RealTime(m.Board.Priority), clock.LockMemory()} {
		if err != nil {
			log.say(err.Error())
		}
	}
	manager.Ready("running " + m.Name)
	err = running.Run(stop)
	running.Lateness(streams.Out)
	return err
}

// loadMachine reads a machine file and its recipes.
func loadMachine(name string, recipeNames []string) (*machine.Machine, []*recipe.File, error) {
	m, err := machine.Load(name)
	if err != nil {
		return nil, nil, err
	}
	var recipes []*recipe.File
	for _, name := range recipeNames {
		file, err := recipe.Load(name)
		if err != nil {
			return nil, nil, err
		}
		recipes = append(recipes, file)
	}
	return m, recipes, nil
}

// realClock is the monotonic clock of the kernel.
type realClock struct{}

func (realClock) Now() time.Duration { return clock.Now() }

// Wait sleeps in the kernel on the loop's own thread. It can only fail for a clock
// that the kernel does not have; the loop then turns without a pause and says that its
// ticks come too early, which is safe.
func (realClock) Wait(until time.Duration) { _ = clock.SleepUntil(until) }

// hardware is an open board with what is measured beside the loop.
type hardware struct {
	board  *board.Board
	probes *setup.ProbeSource
	meter  setup.MeterSource
	stop   context.CancelFunc
}

// openHardware opens the board and begins to measure. The error has a sentence for
// each thing that is wrong. Without watched the board's watchdog is left alone.
func openHardware(m *machine.Machine, s setup.Sampling, watched bool) (*hardware, error) {
	config, err := setup.Board(m)
	problems := []error{err}
	probes, err := setup.Probes(m, s)
	problems = append(problems, err)
	meter, err := setup.Meter(m, s)
	problems = append(problems, err)
	if err := errors.Join(problems...); err != nil {
		return nil, err
	}
	setup.Connect(&config, m, probes, meter)
	if !watched {
		config.Watchdog = board.Watchdog{}
	}
	ctx, stop := context.WithCancel(context.Background())
	h := &hardware{probes: probes, meter: meter, stop: stop}
	probes.Start(ctx)
	meter.Start(ctx)
	for until := clock.Now() + firstReadings; clock.Now() < until && !h.measured(m); {
		time.Sleep(50 * time.Millisecond)
	}
	if h.board, err = board.Open(config); err != nil {
		return nil, errors.Join(err, h.Close())
	}
	return h, nil
}

// measured reports whether each sensor that measures beside the loop has given
// something.
func (h *hardware) measured(m *machine.Machine) bool {
	now := clock.Now()
	for place, r := range h.probes.Read(now) {
		if m.Probes[place].Fitted && !r.Valid {
			return false
		}
	}
	return m.Meter.Kind == machine.PulseMeter || h.meter.Read(now).Watts.Valid
}

// Close drives all outputs off and lets everything go.
func (h *hardware) Close() error {
	var problems []error
	if h.board != nil {
		problems = append(problems, h.board.Close())
	}
	h.stop()
	return errors.Join(append(problems, h.probes.Close(), h.meter.Close())...)
}
