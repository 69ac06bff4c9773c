// Package operate runs a cabinet: the loop with its journal, the desk for what is
// asked, and the sockets. The program on the board hands it the real board, the
// simulator a modelled one in real time; nothing else differs.
package operate

import (
	"errors"
	"fmt"
	"io"
	"net"
	"path/filepath"
	"time"

	"bathtender/firmware/control"
	"bathtender/firmware/journal"
	"bathtender/firmware/loop"
	"bathtender/firmware/machine"
	"bathtender/firmware/presence"
	"bathtender/firmware/recipe"
	"bathtender/firmware/setup"
	"bathtender/firmware/status"
	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/hal/trace"
)

// Cabinet is what is run. Board, Clock, Machine, Recipes and Journal must be there.
type Cabinet struct {
	Machine *machine.Machine
	Recipes []*recipe.File
	Board   hal.Board
	// Buttons are those of the cabinet; nil where it has none.
	Buttons presence.Buttons
	Clock   loop.Clock
	Wall    func() time.Time
	// Journal is where the journal is; Origin and Seed are what it says of where
	// the readings come from.
	Journal journal.Disk
	Origin  trace.Origin
	Seed    uint64
	// Sockets is the folder of the sockets; empty for none.
	Sockets string
	// Healthy is called after each tick that fed the watchdog.
	Healthy func()
	// Care says what is due on a day, in sentences; nil for nothing.
	Care func(wall time.Time) []string
	// Log gets a sentence for what has no other place.
	Log func(sentence string)
}

// Running is a cabinet that has been put together and not begun.
type Running struct {
	cabinet   Cabinet
	loop      *loop.Loop
	record    *journal.Recorder
	desk      *presence.Desk
	listeners []net.Listener
	servers   []*control.Server
	viewer    *control.Viewer
}

// Prepare puts a cabinet together: the supervisor with what the journal has kept,
// and the sockets. Nothing ticks yet, and all outputs are as the board has them.
func Prepare(c Cabinet) (*Running, error) {
	if len(c.Recipes) == 0 {
		return nil, errors.New("there is no recipe, at least one must be given")
	}
	config, err := setup.Supervisor(c.Machine, c.Recipes)
	if err != nil {
		return nil, err
	}
	rules, err := setup.Presence(c.Machine, c.Recipes)
	if err != nil {
		return nil, err
	}
	if c.Log == nil {
		c.Log = func(string) {}
	}
	r := &Running{cabinet: c, desk: presence.New(rules, c.Buttons)}
	if err := r.listen(); err != nil {
		return nil, err
	}
	book, kept := journal.Open(c.Journal, setup.Journal(c.Machine, c.Recipes, c.Origin, c.Seed), c.Wall())
	if why := book.Why(); why != "" {
		c.Log(why)
	}
	s := supervisor.New(config, kept)
	r.record = journal.NewRecorder(book, s)
	r.loop = loop.New(loop.Parts{
		Board: c.Board, Supervisor: s, Record: r.record, Hand: r.desk, Clock: c.Clock, Wall: c.Wall,
		Tick: config.Interlock.Tick, Deadline: config.Interlock.Deadline, Healthy: c.Healthy,
	})
	r.viewer = control.NewViewer(status.NewBuilder(status.Sources{
		Machine: c.Machine, Recipes: c.Recipes, Origin: c.Origin, Frame: r.loop.Frame,
		Selected: r.desk.Selected, JournalWhy: r.record.Why, Wall: c.Wall, Care: c.Care,
	}).Build)
	return r, nil
}

// listen makes the sockets.
func (r *Running) listen() error {
	if r.cabinet.Sockets == "" {
		return nil
	}
	for _, socket := range []struct {
		name    string
		control bool
	}{{control.ControlSocket, true}, {control.StatusSocket, false}} {
		mode := control.StatusMode
		server := &control.Server{View: func() ([]byte, error) { return r.viewer.Line() }}
		if socket.control {
			mode, server.Send = control.ControlMode, r.desk.Send
		}
		listener, err := control.Listen(r.cabinet.Sockets, socket.name, mode)
		if err != nil {
			r.hangUp()
			return err
		}
		r.listeners = append(r.listeners, listener)
		r.servers = append(r.servers, server)
	}
	return nil
}

func (r *Running) hangUp() {
	for _, l := range r.listeners {
		_ = l.Close()
	}
	for _, s := range r.servers {
		s.Close()
	}
}

// Where says where the sockets are.
func (r *Running) Where() []string {
	var paths []string
	if r.cabinet.Sockets != "" {
		for _, name := range []string{control.ControlSocket, control.StatusSocket} {
			paths = append(paths, filepath.Join(r.cabinet.Sockets, name))
		}
	}
	return paths
}

// Run ticks until stop is closed, then drives all outputs off, hangs up and closes
// the journal. It returns the joined errors of all of these.
func (r *Running) Run(stop <-chan struct{}) error {
	for i, server := range r.servers {
		go func() { _ = server.Serve(r.listeners[i]) }()
	}
	err := r.loop.Run(stop)
	r.hangUp()
	if closed := r.record.Close(r.cabinet.Wall()); closed != nil {
		err = errors.Join(err, fmt.Errorf("the journal could not be closed in order: %w", closed))
	}
	return err
}

// View returns what there is to see now.
func (r *Running) View() status.View { return r.viewer.Now() }

// Waiting returns how many ticks wait for the journal's disk.
func (r *Running) Waiting() int { return r.record.Waiting() }

// Lateness prints how the loop has kept its time.
func (r *Running) Lateness(w io.Writer) {
	var f loop.Frame
	r.loop.Frame(&f)
	f.Lateness.Print(w)
}
