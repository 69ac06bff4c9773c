package main

import (
	"bufio"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"time"

	"golang.org/x/term"

	"bathtender/firmware/cli"
	"bathtender/firmware/fileerror"
	"bathtender/firmware/operate"
	"bathtender/hal/quantity"
	"bathtender/hal/trace"
	"bathtender/sim/fault"
	"bathtender/sim/live"
	"bathtender/sim/plant"
	"bathtender/sim/scenario"
)

const liveMore = `A cabinet that is modelled, in real time or faster, with the loop, the journal and the
sockets of the board's program, so that "bathtender status", "start", "page" and
the others work on it. Standard input takes a word a line:

` + live.Words + `

Where standard input is no terminal, it goes on after the end of it until it is
interrupted.`

// liveTank is a live cabinet with its words.
type liveTank struct {
	cli.Streams
	cabinet cabinet
	clock   *live.Clock
	board   *live.Board
	running *operate.Running
	ended   chan struct{} // closed when the loop has ended
	stop    func()
	mutex   sync.Mutex // guards Out and seen
	seen    uint64
	failed  bool
}

func runLive(io cli.Streams, args []string) error {
	s := flag.NewFlagSet("live", flag.ContinueOnError)
	machineFile := s.String("machine", "", "machine `FILE`; the built-in demo tank without")
	recipes := recipeFlag(s)
	folder := s.String("folder", filepath.Join("run", "live"), "`FOLDER` for the sockets and, in journal, for the journal; made where there is none")
	speed := s.Int("speed", 1, "`N` simulated seconds a second, 1 to 2000")
	wordsFile := s.String("words", "", "`FILE` of words to do first, before those of standard input")
	seed := s.Uint64("seed", 1, "`SEED` of the noise of the readings")
	if _, err := flags(s, io.Out, args, 0, 0); err != nil {
		return err
	}
	if *speed < live.SpeedLeast || *speed > live.SpeedMost {
		return usageError(fmt.Sprintf("speed %d is out of range, allowed are %d to %d", *speed, live.SpeedLeast, live.SpeedMost))
	}
	c, err := loadCabinet(*machineFile, *recipes)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(*folder, 0o755); err != nil {
		return fmt.Errorf("the folder %s cannot be made: %w", *folder, fileerror.Cause(err))
	}
	disk, lock, err := openJournal(filepath.Join(*folder, "journal"))
	if err != nil {
		return err
	}
	defer lock.Close()
	config := plant.FromMachine(c.machine)
	p, err := plant.New(config, config.Workshop(*seed))
	if err != nil {
		return err
	}
	begun, err := nextWall(disk)
	if err != nil {
		return err
	}
	var first []byte
	if *wordsFile != "" {
		if first, err = os.ReadFile(*wordsFile); err != nil {
			return unreadable("file of words", *wordsFile, err)
		}
	}
	t := &liveTank{Streams: io, cabinet: c, clock: live.NewClock(*speed), ended: make(chan struct{})}
	t.board = live.NewBoard(p, c.config.Interlock.Tick)
	t.running, err = operate.Prepare(operate.Cabinet{
		Machine: c.machine, Recipes: c.recipes, Board: t.board, Buttons: t.board, Clock: t.clock,
		Wall:    func() time.Time { return begun.Add(t.clock.Now()) },
		Journal: disk, Origin: trace.Synthetic, Seed: *seed, Sockets: *folder,
		Log: func(sentence string) { fmt.Fprintln(io.Err, sentence) },
	})
	if err != nil {
		return err
	}
	t.clock.Hold = func() bool { return t.running.Waiting() > waitingMost }
	return t.run(*folder, string(first))
}

func (t *liveTank) run(folder, first string) error {
	fmt.Fprintf(t.Out, "%s, simulated. START runs %q. In another window:\n", t.cabinet.machine.Name, t.usual())
	fmt.Fprintf(t.Out, "  go run ./firmware status -socket %s\n", filepath.Join(folder, "status.sock"))
	fmt.Fprintf(t.Out, "  go run ./firmware page -socket %s -journal %s\n", filepath.Join(folder, "status.sock"), filepath.Join(folder, "journal"))
	fmt.Fprintln(t.Out, "help lists the words, quit ends.")
	tellLegend(t.Out)
	stop := make(chan struct{})
	t.stop = sync.OnceFunc(func() { close(stop) })
	signals := make(chan os.Signal, 1)
	signal.Notify(signals, os.Interrupt, syscall.SIGTERM)
	defer signal.Stop(signals)
	go func() {
		select {
		case <-signals:
			t.stop()
		case <-t.ended:
		}
	}()
	go t.listen(first)
	go t.tell()
	err := t.running.Run(stop)
	close(t.ended)
	t.news()
	if err != nil {
		return err
	}
	if t.failed {
		return errFailed
	}
	return nil
}

func (t *liveTank) usual() string {
	if name := t.cabinet.machine.Control.Recipe; name != "" {
		return name
	}
	return t.cabinet.recipes[0].Recipe.Name
}

// listen does what is said first, then what is typed.
func (t *liveTank) listen(first string) {
	t.heed(strings.NewReader(first))
	t.heed(t.In)
	if in, ok := t.In.(*os.File); ok && term.IsTerminal(int(in.Fd())) {
		t.stop()
	}
}

// heed does line after line.
func (t *liveTank) heed(from io.Reader) {
	lines := bufio.NewScanner(from)
	for lines.Scan() {
		words := strings.Fields(lines.Text())
		if len(words) == 0 || strings.HasPrefix(words[0], "#") {
			continue
		}
		if err := t.do(words); err != nil {
			t.mutex.Lock()
			t.failed = true
			fmt.Fprintln(t.Err, err)
			t.mutex.Unlock()
		}
	}
}

// do does one line.
func (t *liveTank) do(words []string) error {
	switch rest := words[1:]; words[0] {
	case "press":
		button, hold, err := live.ParsePress(rest)
		if err != nil {
			return err
		}
		t.world("%s is pressed for %s", strings.ToUpper(live.ButtonNames[button]), quantity.FormatDuration(hold))
		t.board.Press(button, hold)
	case "break":
		f, err := live.ParseFault(t.cabinet.machine, rest)
		if err != nil {
			return err
		}
		t.world("%s: %s", f, f.Kind.Means)
		t.board.Break(f)
	case "mend":
		return t.mend(rest)
	case "faults":
		t.faults()
	case "speed":
		n, err := strconv.Atoi(strings.Join(rest, " "))
		if err != nil || n < live.SpeedLeast || n > live.SpeedMost {
			return fmt.Errorf("speed %s is no speed, allowed are %d to %d", quantity.Quote(strings.Join(rest, " ")), live.SpeedLeast, live.SpeedMost)
		}
		t.clock.SetSpeed(n)
	case "wait":
		return t.wait(rest)
	case "status":
		t.news()
		v := t.running.View()
		t.print(live.Short(&v))
	case "help":
		t.print(live.Words + "\n")
	case "quit":
		t.stop()
		<-t.ended
	default:
		return fmt.Errorf("%s is not understood; help lists the words", quantity.Quote(words[0]))
	}
	return nil
}

func (t *liveTank) mend(rest []string) error {
	if len(rest) == 1 && rest[0] == "all" {
		for _, f := range t.board.Faults() {
			t.board.Mend(f)
		}
		t.world("all faults are mended")
		return nil
	}
	f, err := live.ParseFault(t.cabinet.machine, rest)
	if err != nil {
		return err
	}
	if !t.board.Mend(f) {
		return fmt.Errorf("there is no fault %s to mend; faults lists those that there are", quantity.Quote(f.String()))
	}
	t.world("%s: over", f)
	return nil
}

func (t *liveTank) faults() {
	var b strings.Builder
	for i := range fault.Catalogue {
		fmt.Fprintf(&b, "  %-28s %s\n", fault.Catalogue[i].Name, fault.Catalogue[i].Means)
	}
	b.WriteString("now: ")
	there := t.board.Faults()
	for i, f := range there {
		if i > 0 {
			b.WriteString("; ")
		}
		b.WriteString(f.String())
	}
	if len(there) == 0 {
		b.WriteString("none")
	}
	t.print(b.String() + "\n")
}

// waitingMost is how many ticks may wait for the disk before time stands.
const waitingMost = 100

// waitMost is how much simulated time a wait for something may take.
const waitMost = 2 * time.Hour

// wait waits for a time, or for something to come.
func (t *liveTank) wait(rest []string) error {
	if len(rest) == 0 || rest[0] != "until" {
		d, err := live.ParseTime(rest)
		if err != nil {
			return err
		}
		t.waitFor(t.clock.Now()+d, func() bool { return false })
		return nil
	}
	what := strings.Join(rest[1:], " ")
	came := func() bool {
		v := t.running.View()
		return v.Session.Phase == what || what == "trip" && len(v.Latched) > 0
	}
	if what != "trip" && !live.IsPhase(what) {
		return fmt.Errorf("wait until %s is not understood, allowed are trip and the phases %s", quantity.Quote(what), strings.Join(live.Phases(), ", "))
	}
	if !t.waitFor(t.clock.Now()+waitMost, came) {
		return fmt.Errorf("%s has not come within %s", quantity.Quote(what), quantity.FormatDuration(waitMost))
	}
	return nil
}

// waitFor waits until something has come, a time of the simulated clock, or the
// end, and reports whether it has come.
func (t *liveTank) waitFor(until time.Duration, came func() bool) bool {
	for t.clock.Now() < until {
		if came() {
			return true
		}
		select {
		case <-t.ended:
			return false
		case <-time.After(5 * time.Millisecond):
		}
	}
	return came()
}

// tell prints what happens, a few times a second.
func (t *liveTank) tell() {
	for {
		select {
		case <-t.ended:
			return
		case <-time.After(50 * time.Millisecond):
			t.news()
		}
	}
}

// news prints what has happened since it was called last.
func (t *liveTank) news() {
	v := t.running.View()
	t.mutex.Lock()
	defer t.mutex.Unlock()
	for _, e := range v.Recent {
		if e.Seq <= t.seen {
			continue
		}
		t.seen = e.Seq
		tellLine(t.Out, scenario.Line{At: time.Duration(e.At * float64(time.Second)), Severity: live.Severity(e.Kind), Text: e.Text})
	}
}

func (t *liveTank) world(format string, args ...any) {
	t.news()
	t.mutex.Lock()
	defer t.mutex.Unlock()
	tellLine(t.Out, scenario.Line{At: t.clock.Now(), Severity: scenario.World, Text: fmt.Sprintf(format, args...)})
}

func (t *liveTank) print(text string) {
	t.mutex.Lock()
	defer t.mutex.Unlock()
	_, _ = io.WriteString(t.Out, text)
}
