package bench

import (
	"fmt"
	"path/filepath"
	"strings"

	"bathtender/firmware/freeze"
	"bathtender/firmware/version"
	"bathtender/hal/trace"
)

// Traces records a session. A trace is of one run of the program, so a restart
// ends it and begins the next: NAME.csv, NAME-2.csv and so on. Each replays with
// the same decisions. They say that they are synthetic: no real part has spoken.
type Traces struct {
	Paths []string

	path string
	file *trace.File
	row  trace.Row
}

// NewTraces begins a trace at a path, which must not exist yet.
func NewTraces(path string, b *Bench) (*Traces, error) {
	t := &Traces{path: path}
	return t, t.begin(b, false)
}

func (t *Traces) begin(b *Bench, again bool) error {
	path := t.path
	if n := len(t.Paths) + 1; n > 1 {
		ext := filepath.Ext(path)
		path = fmt.Sprintf("%s-%d%s", strings.TrimSuffix(path, ext), n, ext)
	}
	meta := trace.Metadata{
		Origin: trace.Synthetic, Program: version.Version, Machine: b.Machine.Fingerprint, Tick: b.Config.Interlock.Tick,
	}
	for _, file := range b.Recipes {
		meta.Recipes = append(meta.Recipes, file.Fingerprint)
	}
	if again {
		state := b.Supervisor.State()
		meta.State = freeze.Text(&state)
	}
	layout := trace.Layout{Fans: len(b.Machine.Fans), Banks: len(b.Machine.Banks), Ages: true, Outputs: true, Events: true}
	file, err := trace.Create(path, layout, meta)
	if err != nil {
		return err
	}
	t.file, t.Paths = file, append(t.Paths, path)
	return nil
}

// Tick records the last tick.
func (t *Traces) Tick(b *Bench) error {
	var said []string
	for _, line := range b.Said {
		said = append(said, line.Text)
	}
	t.row = trace.Row{Snapshot: b.Snapshot, Request: b.Request, Outputs: b.Outputs, HasOutputs: true, Events: strings.Join(said, "; ")}
	return t.file.Write(&t.row)
}

// Restart ends the trace and begins the next.
func (t *Traces) Restart(b *Bench) error {
	if err := t.Close(); err != nil {
		return err
	}
	return t.begin(b, true)
}

// Close makes the present trace durable.
func (t *Traces) Close() error {
	if t.file == nil {
		return nil
	}
	file := t.file
	t.file = nil
	return file.Close()
}
