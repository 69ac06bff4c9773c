package prove

import (
	"fmt"
	"io"
	"path/filepath"

	"bathtender/firmware/freeze"
	"bathtender/firmware/supervisor"
	"bathtender/firmware/version"
	"bathtender/hal"
	"bathtender/hal/trace"
)

// play goes the trail again with the memory left whole, so that what it shows is
// what the supervisor itself would do, and calls each after every step. It
// returns what the last step broke.
func (t *Trail) play(s subject, each func(g *Given, w *walk, state *State)) broken {
	w := newWalk(&t.View.Rules, s)
	w.whole = true
	inputs := t.View.Inputs()
	var state State
	var last broken
	for _, i := range t.Path {
		last = w.step(&state, &inputs[i], state.Memory.Last)
		each(&inputs[i], w, &state)
	}
	return last
}

// WriteText tells the trail step by step: what the world gave where it was not
// healthy, what was driven, and what was told.
func (t *Trail) WriteText(out io.Writer) error { return t.writeText(out, shipped()) }

func (t *Trail) writeText(out io.Writer, s subject) (err error) {
	t.play(s, func(g *Given, w *walk, state *State) {
		line := "restart "
		if !g.Restart {
			line = fmt.Sprintf("%7.3f s", w.snapshot.Time.Seconds())
		}
		words := g.Words
		if words == "" {
			words = "all healthy"
		}
		line += "  " + words
		if !g.Restart {
			line += ": " + driven(w.out, t.View.Rules.Interlock.Power.Banks)
			for _, e := range w.work.Interlock.All() {
				line += "; " + e.Sentence()
			}
		}
		if _, e := fmt.Fprintln(out, line); e != nil {
			err = e
		}
	})
	return err
}

// driven names what is on.
func driven(o hal.Outputs, banks int) string {
	text := ""
	for _, part := range []struct {
		name string
		on   bool
	}{{"fans", o.Fans}, {"contactor", o.Contactor}, {"heater", o.Heater}, {"banks " + o.Banks.Text(banks), o.Banks != 0}, {"sounder", o.Sounder}, {"lamp", o.Lamp}} {
		if part.on {
			text = also(text, part.name)
		}
	}
	if text == "" {
		return "everything is off"
	}
	return text + " on"
}

// Estimated reports whether the trail has estimates in it. A trace has no column
// for them: its replay works them out anew, and may decide otherwise.
func (t *Trail) Estimated() bool {
	inputs := t.View.Inputs()
	for _, i := range t.Path {
		if g := inputs[i]; g.Estimates != inputs[0].Estimates && !g.Restart {
			return true
		}
	}
	return false
}

// WriteTrace writes the trail as a trace with its sidecar, to be replayed, into
// a folder. Where the program was started again on the way, the trace begins
// after the last time, with what was remembered then. It returns the path.
func (t *Trail) WriteTrace(folder, name string) (string, error) {
	return t.writeTrace(folder, name, shipped())
}

func (t *Trail) writeTrace(folder, name string, s subject) (string, error) {
	v := t.View
	meta := trace.Metadata{
		Origin: trace.Synthetic, Program: version.Version, Machine: v.Fingerprint(), Tick: v.Rules.Interlock.Tick,
	}
	var rows []trace.Row
	t.play(s, func(g *Given, w *walk, state *State) {
		if g.Restart {
			rows = rows[:0]
			meta.State = freeze.Text(&supervisor.State{Memory: state.Memory})
			return
		}
		rows = append(rows, trace.Row{Snapshot: w.snapshot, Request: v.request(g.Ask), Outputs: w.out, HasOutputs: true})
	})
	fans := newWatcher(&v.Rules).fans
	path := filepath.Join(folder, name+".csv")
	file, err := trace.Create(path, trace.Layout{Fans: fans, Banks: v.Rules.Interlock.Power.Banks, Ages: true, Outputs: true}, meta)
	if err != nil {
		return "", err
	}
	for i := range rows {
		if err := file.Write(&rows[i]); err != nil {
			file.Close()
			return "", err
		}
	}
	return path, file.Close()
}

// request returns a request as its owner makes it.
func (v *View) request(ask supervisor.Ask) hal.Request {
	r := hal.Request{Verb: ask.Verb}
	if ask.Verb == hal.Start {
		r.Recipe = "unknown"
		if n := int(ask.Recipe); 0 < n && n <= len(v.Rules.Recipes) {
			r.Recipe = v.Rules.Recipes[n-1].Name
		}
	}
	return r
}
