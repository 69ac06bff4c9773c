package main

import (
	"bufio"
	"flag"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"bathtender/firmware/cli"
	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/hal/trace"
	"bathtender/sim/record"
	"bathtender/sim/report"
	"bathtender/sim/scenario"
)

// replaying is one replay on its way.
type replaying struct {
	cabinet
	file       *trace.Recording
	player     *trace.Player
	supervisor *supervisor.Supervisor
	writer     *trace.Writer
	recorder   *record.Recorder
	explainAt  time.Duration
	explained  bool
	shown      *progress
	rows       int
	first      time.Duration
	last       time.Duration
	otherwise  string // where events were first told otherwise than recorded
	what       *whatIf
}

func replay(io cli.Streams, args []string) error {
	s := flag.NewFlagSet("replay", flag.ContinueOnError)
	machineFile := s.String("machine", "", "machine `FILE`; without, that of the journal that the trace lies in, or the built-in demo tank. For a trace in a journal, another file asks what it would have changed")
	recipes := recipeFlag(s)
	out := s.String("out", "", "`FILE` to write the trace to, with the out_ columns of this replay")
	pictures := s.String("report", "", "`FOLDER` for the pictures of the replay")
	explain := s.String("explain", "", "`TIME` of a tick to explain: seconds, h:mm:ss or \"45 min 43 s\"")
	anyway := s.Bool("anyway", false, "go on although the trace is of another machine file or version")
	words, err := flags(s, io.Out, args, 1, 1)
	if err != nil {
		return err
	}
	r := replaying{explainAt: -1}
	if *explain != "" {
		if r.explainAt, err = parseClock(*explain); err != nil {
			return usageError("explain " + err.Error())
		}
	}
	if r.file, err = trace.Open(words[0]); err != nil {
		return err
	}
	defer r.file.Close()
	if err := r.load(io, words[0], *machineFile, *recipes); err != nil {
		return err
	}
	if err := r.foreign(io, *anyway); err != nil {
		return err
	}
	if err := r.begin(io, *anyway); err != nil {
		return err
	}
	if *out != "" {
		if same(*out, words[0]) || same(*out, trace.SidecarPath(words[0])) {
			return usageError(fmt.Sprintf("out %q is the trace that is replayed, allowed is another file", *out))
		}
		target, err := os.Create(*out)
		if err != nil {
			return fmt.Errorf("the trace cannot be written: %w", err)
		}
		defer target.Close()
		layout := r.file.Layout()
		layout.Banks = len(r.machine.Banks)
		if !r.file.HasOutputs() {
			layout.Columns = append(layout.Columns, outColumns()...)
		}
		if r.writer, err = trace.NewWriter(target, layout); err != nil {
			return err
		}
	}
	if *pictures != "" {
		r.recorder = record.New(r.machine)
	}
	return r.run(io, words[0], *pictures)
}

func (r *replaying) run(io cli.Streams, name, pictures string) error {
	r.player = trace.NewPlayer(r.file.Reader)
	begun := time.Now()
	r.shown = newProgress(io.Err)
	defer r.shown.done()
	var snapshot hal.Snapshot
	if r.what == nil {
		tellLegend(io.Out)
	}
	for {
		done, err := r.tick(io, &snapshot)
		if err != nil {
			return err
		}
		if done {
			break
		}
		r.shown.show(name, snapshot.Time)
	}
	r.shown.done()
	if r.writer != nil {
		if err := r.writer.Flush(); err != nil {
			return fmt.Errorf("the trace cannot be written: %w", err)
		}
	}
	if r.explainAt >= 0 && !r.explained {
		return fmt.Errorf("the trace has no tick at or after %s; its last is at %s", report.Clock(r.explainAt), report.Clock(r.last))
	}
	if pictures != "" {
		page := r.recorder.Report(r.machine.Name, "a replayed trace: "+name, nil)
		paths, err := page.WriteFolder(pictures)
		if err != nil {
			return err
		}
		fmt.Fprintf(io.Out, "report: %s\n", paths[len(paths)-1])
	}
	if r.what != nil {
		r.what.tell(io.Out)
	}
	tellSpeed(io.Out, r.last-r.first, time.Since(begun))
	return r.compare(io)
}

// tick replays one row, and reports whether there was none left.
func (r *replaying) tick(streams cli.Streams, snapshot *hal.Snapshot) (bool, error) {
	switch err := r.player.Read(snapshot); {
	case err == io.EOF:
		return true, nil
	case err != nil:
		return false, err
	}
	if r.rows == 0 {
		r.first = snapshot.Time
	}
	r.rows++
	r.last = snapshot.Time
	out, events := r.supervisor.Tick(snapshot, r.player.Request())
	if len(events) > 0 {
		r.shown.done()
	}
	var said []string
	for _, e := range events {
		line := scenario.Describe(r.supervisor, e)
		said = append(said, line.Text)
		if r.what == nil {
			tellLine(streams.Out, line)
		}
		if r.recorder != nil {
			r.recorder.Event(line.At, reportSeverity(line.Severity), line.Text, line.Short)
		}
	}
	r.compareEvents(said)
	if r.what != nil {
		r.what.tick(snapshot, r.player.Request(), out, events, said)
	}
	if r.explainAt >= 0 && !r.explained && snapshot.Time >= r.explainAt {
		r.explained = true
		explainTick(streams.Out, r.supervisor, snapshot.Time)
	}
	if r.recorder != nil {
		status := r.supervisor.Status()
		r.recorder.Tick(snapshot, out, &status)
	}
	if r.writer != nil {
		row := *r.player.Row()
		row.Outputs, row.HasOutputs = out, true
		if r.file.Has("events") {
			row.Events = strings.Join(said, "; ")
		}
		if err := r.writer.Write(&row); err != nil {
			return false, err
		}
	}
	return false, r.player.Write(out)
}

// compareEvents keeps the first row where what happened is told otherwise than
// it was recorded.
func (r *replaying) compareEvents(said []string) {
	was, is := r.player.Row().Events, strings.Join(said, "; ")
	if r.otherwise != "" || !r.file.Has("events") || was == is {
		return
	}
	r.otherwise = fmt.Sprintf("%s:%d: at %s s what happened was recorded as %q and is now %q",
		r.file.Name(), r.file.Line(), trace.FormatSeconds(r.last), was, is)
}

// compare says whether the decisions were those recorded.
func (r *replaying) compare(io cli.Streams) error {
	if r.player.Compared() == 0 {
		fmt.Fprintf(io.Out, "%d rows; none has recorded outputs to compare with\n", r.rows)
		return nil
	}
	if difference := r.player.Difference(); difference != nil {
		fmt.Fprintln(io.Err, difference)
		return errFailed
	}
	if r.otherwise != "" {
		fmt.Fprintln(io.Err, r.otherwise)
		return errFailed
	}
	same := "the decisions"
	if r.file.Has("events") {
		same = "the decisions and events"
	}
	fmt.Fprintf(io.Out, "%d rows; %s of %d are as recorded\n", r.rows, same, r.player.Compared())
	return nil
}

// explainTick tells each permit and, function by function, why.
func explainTick(w io.Writer, s *supervisor.Supervisor, at time.Duration) {
	out := bufio.NewWriter(w)
	defer out.Flush()
	status := s.Status()
	yes := map[bool]string{true: "given", false: "withheld"}
	p := status.Permits
	fmt.Fprintf(out, "\nat %s (%.3f s), phase %s:\n", report.Clock(at), at.Seconds(), status.Phase)
	fmt.Fprintf(out, "  permits: contactor %s, heater %s, emission %s, start %s, banks %s\n",
		yes[p.Contactor], yes[p.Heater], yes[p.Emission], yes[p.Start], p.Banks.Text(s.Banks()))
	if first := status.FirstOut.Sentence(); status.FirstOut.Slot != 0 {
		fmt.Fprintf(out, "  first-out: %s at %s\n", first, report.Clock(status.FirstOut.At))
	}
	for _, e := range s.Explain() {
		fmt.Fprintf(out, "  - %s\n", e.Sentence())
	}
	fmt.Fprintln(out)
}

func same(a, b string) bool {
	x, errA := os.Stat(a)
	y, errB := os.Stat(b)
	return errA == nil && errB == nil && os.SameFile(x, y)
}

// outColumns are the columns that a replay adds to a trace without outputs.
func outColumns() []string {
	return []string{"out_contactor", "out_fans", "out_heater", "out_banks", "out_heartbeat", "out_watchdog", "out_sounder", "out_lamp"}
}
