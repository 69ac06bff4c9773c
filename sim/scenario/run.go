package scenario

import (
	"time"

	"bathtender/firmware/health"
	"bathtender/firmware/journal"
	"bathtender/firmware/recipe"
	"bathtender/firmware/setup"
	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/hal/quantity"
	"bathtender/hal/trace"
	"bathtender/interlock"
	"bathtender/sim/drive"
	"bathtender/sim/plant"
)

// Severity is how much a line of the story takes away.
type Severity uint8

// Severities, mildest first.
const (
	Note  Severity = iota // what the session does
	World                 // what happens to the cabinet
	Found                 // what health has found
	Hold
	Trip
)

// Line is one line of a session's story.
type Line struct {
	At       time.Duration
	Severity Severity
	Text     string
	// Short names the line in a few words, where it has a name.
	Short string
}

// Watcher is shown every tick of a run. The session is that of the tick just
// made; lines are what happened at it.
type Watcher func(s *drive.Session, lines []Line) error

// Result is how a run went.
type Result struct {
	// Failures are the expectations and bounds that were not met, a sentence
	// each; none means that the scenario has passed.
	Failures []string
	// Trips is how many trips there were, FirstOut the first-out of the first.
	Trips    int
	FirstOut string
	// Took is the simulated time, Ticks how many ticks that was.
	Took  time.Duration
	Ticks int64
	// Worst is the hottest that each part really got, in K.
	Worst Extremes
	// Estimates are health's at the end of the session.
	Estimates interlock.Estimates
	// WattHours is the energy taken from the mains, Litres what was left.
	WattHours, Litres float64
}

// Extremes are the hottest temperatures of a run, in K.
type Extremes struct{ Bath, Plate, Winding, Joint, Cabinet float64 }

// Run plays the scenario, tick by tick, and shows each to the watchers.
func (sc *Scenario) Run(watchers ...Watcher) (Result, error) {
	p, err := plant.New(sc.Plant, sc.World)
	if err != nil {
		return Result{}, err
	}
	return sc.run(drive.New(sc.Config, supervisor.Kept{}, p), watchers)
}

// Begun is the wall clock at the start of a recorded run. It is invented, so that
// the same run always gives the same journal.
var Begun = time.Date(2026, time.January, 5, 8, 0, 0, 0, time.UTC)

// Record plays the scenario as Run does, with a journal on a disk, which must
// hold one. A run begins at a wall time, usually Begun.
func (sc *Scenario) Record(disk journal.Disk, begun time.Time, watchers ...Watcher) (Result, error) {
	p, err := plant.New(sc.Plant, sc.World)
	if err != nil {
		return Result{}, err
	}
	cabinet := setup.Journal(sc.Machine, []*recipe.File{sc.Recipe}, trace.Synthetic, sc.World.Seed)
	session := drive.NewRecorded(sc.Config, disk, cabinet, begun, p)
	result, err := sc.run(session, watchers)
	if closed := session.Close(); err == nil {
		err = closed
	}
	return result, err
}

func (sc *Scenario) run(session *drive.Session, watchers []Watcher) (Result, error) {
	r := runner{sc: sc, session: session, watchers: watchers}
	r.events = make([]timed, len(sc.Events))
	r.expects = newExpectations(sc)
	for !r.over() {
		if err := r.tick(); err != nil {
			return r.result, err
		}
	}
	r.finish()
	return r.result, nil
}

// timed is an event with what has become of it.
type timed struct {
	begun, ended bool
	at           time.Duration // of its beginning
}

type runner struct {
	sc       *Scenario
	session  *drive.Session
	watchers []Watcher
	events   []timed
	expects  []expectation
	began    [recipe.PhaseCount]time.Duration // first time of each phase, plus 1
	lines    []Line
	wasBusy  bool // a session has been started
	result   Result
}

// over reports whether there is nothing more to see: the time is up, or the
// session is over and nothing is still to come.
func (r *runner) over() bool {
	if r.session.Now() >= r.sc.Length {
		return true
	}
	if !r.wasBusy && len(r.events) == 0 || r.session.Supervisor.Status().Phase != recipe.Idle {
		return false
	}
	for i := range r.events {
		if !r.events[i].begun && (!r.sc.Events[i].HasPhase || r.began[r.sc.Events[i].Phase] != 0) {
			return false
		}
	}
	for i := range r.expects {
		if r.expects[i].open() {
			return false
		}
	}
	return true
}

func (r *runner) tick() error {
	r.lines = r.lines[:0]
	request := r.happen()
	if err := r.session.Tick(request); err != nil {
		return err
	}
	status := r.session.Supervisor.Status()
	r.tell()
	if r.began[status.Phase] == 0 {
		r.began[status.Phase] = r.session.Now() + 1
	}
	r.wasBusy = r.wasBusy || status.Phase != recipe.Idle
	if status.Phase.Underway() {
		r.result.Estimates = status.Estimates
	}
	truth := r.session.Plant.Truth()
	r.result.Worst.take(&truth, r.session.Plant)
	for i := range r.expects {
		r.expects[i].look(r, &truth, &status)
	}
	for _, watch := range r.watchers {
		if err := watch(r.session, r.lines); err != nil {
			return err
		}
	}
	return nil
}

// happen makes the events that are due, and returns what is asked for at this
// tick.
func (r *runner) happen() hal.Request {
	var request hal.Request
	now := r.session.Now()
	for i := range r.sc.Events {
		e, state := &r.sc.Events[i], &r.events[i]
		due := e.At
		if e.HasPhase {
			if r.began[e.Phase] == 0 {
				continue
			}
			due += r.began[e.Phase] - 1
		}
		if !state.begun && now >= due {
			state.begun, state.at = true, now
			r.begin(e)
		}
		if state.begun && !state.ended && e.For > 0 && now >= state.at+e.For {
			state.ended = true
			if e.Fault.Kind != nil {
				e.Fault.End(&r.session.Plant.Faults)
				r.say(World, e.name+": over", "")
			}
		}
		if state.begun && !state.ended && e.Request.Verb != hal.None {
			request = e.Request
			state.ended = e.For == 0
		}
	}
	return request
}

func (r *runner) begin(e *Event) {
	switch {
	case e.Fault.Kind != nil:
		e.Fault.Begin(&r.session.Plant.Faults)
		r.say(World, e.name+": "+e.Fault.Kind.Means, e.name)
	case e.Stall > 0:
		r.session.Stall(e.Stall)
		r.say(World, "the controller stalls for "+quantity.FormatDuration(e.Stall), "stall")
	case e.Restart > 0:
		r.session.Restart(e.Restart)
		r.say(World, "the controller is killed, and started again after "+quantity.FormatDuration(e.Restart), "restart")
	default:
		r.say(World, "asked to "+e.Request.String(), e.name)
	}
}

func (r *runner) say(severity Severity, text, short string) {
	r.lines = append(r.lines, Line{At: r.session.Now(), Severity: severity, Text: text, Short: short})
}

// tell turns the events of the tick into lines.
func (r *runner) tell() {
	for _, e := range r.session.Events {
		line := Describe(r.session.Supervisor, e)
		if line.Severity == Trip {
			r.result.Trips++
			if r.result.FirstOut == "" {
				r.result.FirstOut = line.Text
			}
		}
		r.lines = append(r.lines, line)
	}
}

// Describe returns an event of a supervisor as a line.
func Describe(s *supervisor.Supervisor, e supervisor.Event) Line {
	line := Line{At: e.At, Text: s.Sentence(e)}
	if e.Health.Kind != health.NoEvent {
		line.Severity, line.Short = Found, "found"
		return line
	}
	if e.Sequence.Kind != recipe.NoEvent {
		return line
	}
	switch e.Interlock.Kind {
	case interlock.Tripped:
		line.Severity, line.Short = Trip, e.Interlock.Name()
	case interlock.Holding:
		line.Severity, line.Short = Hold, e.Interlock.Name()
	}
	return line
}

func (x *Extremes) take(t *plant.Truth, p *plant.Plant) {
	x.Bath, x.Plate, x.Cabinet = max(x.Bath, t.Bath), max(x.Plate, t.Plate), max(x.Cabinet, t.Cabinet)
	for i := range p.Config().Banks {
		x.Winding, x.Joint = max(x.Winding, t.Winding[i]), max(x.Joint, t.Joint[i])
	}
}
