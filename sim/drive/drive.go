// Package drive drives one loop: the modelled cabinet and the supervisor, tick
// by tick, as the board's program would drive it in the cabinet. The supervisor
// is the shipped one; nothing of it is copied or switched off here.
package drive

import (
	"time"

	"bathtender/firmware/journal"
	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/sim/plant"
)

// Session is a cabinet with a supervisor on its board.
type Session struct {
	Plant      *plant.Plant
	Supervisor *supervisor.Supervisor
	// Snapshot, Request, Outputs and Events are those of the last tick.
	Snapshot hal.Snapshot
	Request  hal.Request
	Outputs  hal.Outputs
	Events   []supervisor.Event
	// Ticks counts the ticks so far.
	Ticks int64

	config supervisor.Config
	tick   time.Duration
	kept   supervisor.Kept // what the board has stored, where it has no journal
	stall  time.Duration
	killed bool // the program is to be started anew
	record *recorded
}

// New returns a session of a program that was just started, in a plant, with
// what was kept from before.
func New(config supervisor.Config, kept supervisor.Kept, p *plant.Plant) *Session {
	return &Session{
		Plant: p, Supervisor: supervisor.New(config, kept),
		config: config, tick: config.Interlock.Tick, kept: kept,
	}
}

// Tick lets one period pass in the cabinet and ticks once.
func (s *Session) Tick(request hal.Request) error {
	f := &s.Plant.Faults
	late := time.Duration(max(f.TickLate, 0) * float64(time.Second))
	s.Plant.Step(s.tick + s.stall + late)
	s.stall = 0
	if f.ProgramKilled || f.ProgramStopped {
		return s.stand(f.ProgramKilled)
	}
	if s.killed {
		s.killed = false
		s.restart()
	}
	if f.ResetHeld {
		request = hal.Request{Verb: hal.Reset}
	}
	if err := s.Plant.Read(&s.Snapshot); err != nil {
		return err
	}
	if s.record != nil {
		s.record.state(&s.Snapshot)
	}
	s.Request = request
	s.Outputs, s.Events = s.Supervisor.Tick(&s.Snapshot, request)
	if s.record != nil {
		s.record.take(s)
	} else if len(s.Events) > 0 {
		s.kept = s.Supervisor.Kept() // stored before the outputs depend on it
	}
	s.Ticks++
	return s.Plant.Write(s.Outputs)
}

// stand lets a period pass without a tick: nobody renews the outputs.
func (s *Session) stand(killed bool) error {
	s.killed = s.killed || killed
	s.Request, s.Events = hal.Request{}, nil
	s.Ticks++
	return s.Plant.Read(&s.Snapshot)
}

// Stall makes the next tick come later by so much, while the cabinet goes on.
func (s *Session) Stall(late time.Duration) { s.stall += late }

// Restart kills the program and starts it anew after some time. Nothing but
// what was stored is left of it.
func (s *Session) Restart(after time.Duration) {
	s.Plant.Step(after)
	s.restart()
}

func (s *Session) restart() {
	if s.record != nil {
		s.open()
		return
	}
	s.Supervisor = supervisor.New(s.config, s.kept)
}

// Now returns the time on the session's clock.
func (s *Session) Now() time.Duration { return s.Snapshot.Time }

// recorded is the board's journal, and the wall clock that it goes by.
type recorded struct {
	disk    journal.Disk
	cabinet journal.Cabinet
	begun   time.Time // the wall clock at 0 of the session's clock
	book    *journal.Book
	watch   *journal.Watch
}

// NewRecorded returns a session whose board has a journal. What was kept from
// before is what the journal holds. The wall clock is begun at 0 of the session's
// clock.
func NewRecorded(config supervisor.Config, disk journal.Disk, cabinet journal.Cabinet, begun time.Time, p *plant.Plant) *Session {
	s := New(config, supervisor.Kept{}, p)
	s.record = &recorded{disk: disk, cabinet: cabinet, begun: begun}
	s.open()
	return s
}

// open starts the program with what is in the journal.
func (s *Session) open() {
	r := s.record
	var kept supervisor.Kept
	r.book, kept = journal.Open(r.disk, r.cabinet, r.wall(s.Plant.Truth().Time))
	s.Supervisor = supervisor.New(s.config, kept)
	r.watch = journal.NewWatch(s.Supervisor)
}

func (r *recorded) wall(at time.Duration) time.Time { return r.begun.Add(at) }

// state fills in what the board cannot know of its journal.
func (r *recorded) state(snapshot *hal.Snapshot) {
	snapshot.RecordOK = snapshot.RecordOK && r.book.OK()
	snapshot.KeptOK = snapshot.KeptOK && r.book.KeptOK()
}

func (r *recorded) take(s *Session) {
	item := r.watch.Tick(r.wall(s.Snapshot.Time), &s.Snapshot, s.Request, s.Outputs, s.Events)
	r.book.Take(&item)
	if liquid, due := r.book.Liquid(); due {
		r.watch.SetLiquid(liquid)
	}
}

// Close ends the journal in order, where there is one. The error says what could
// not be made durable.
func (s *Session) Close() error {
	if s.record == nil {
		return nil
	}
	return s.record.book.Close(s.record.wall(s.Snapshot.Time))
}

// Why says why the journal is not OK; nothing where it is, or where there is
// none.
func (s *Session) Why() string {
	if s.record == nil {
		return ""
	}
	return s.record.book.Why()
}

// Fork returns a session that goes on from here by itself: a cabinet and a
// supervisor of its own, in the same state. A session with a journal has no fork.
func (s *Session) Fork() *Session {
	fork := *s
	cabinet, loop := *s.Plant, *s.Supervisor
	fork.Plant, fork.Supervisor = &cabinet, &loop
	fork.Events = nil
	return &fork
}
