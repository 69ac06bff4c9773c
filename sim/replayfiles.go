package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"bathtender/firmware/cli"
	"bathtender/firmware/freeze"
	"bathtender/firmware/journal"
	"bathtender/firmware/supervisor"
	"bathtender/firmware/version"
	"bathtender/hal/quantity"
)

// load reads the machine file and the recipes that the trace is decided by. A
// trace in a journal has its own beside it. Another machine file that is named
// for such a trace is a question: what would have been, had it been this one.
func (r *replaying) load(io cli.Streams, name, machineFile string, recipes []string) (err error) {
	own, ownRecipes := r.filesBeside(name)
	named := machineFile
	if own != "" {
		machineFile = own
		if len(recipes) == 0 {
			recipes = ownRecipes
		}
	}
	if r.cabinet, err = loadCabinet(machineFile, recipes); err != nil {
		return err
	}
	if named == "" || own == "" {
		return nil
	}
	changed, err := loadCabinet(named, recipes)
	if err != nil {
		return err
	}
	if changed.machine.Fingerprint != r.machine.Fingerprint {
		r.what = newWhatIf(named, changed, len(r.machine.Banks))
	}
	return nil
}

// filesBeside returns the machine file and the recipes of a trace that lies in
// a journal, or that was copied together with the files; nothing where they are
// not there.
func (r *replaying) filesBeside(name string) (machine string, recipes []string) {
	if !r.file.HasMetadata || len(r.file.Metadata.Machine) < 16 {
		return "", nil
	}
	find := func(fingerprint string) string {
		path := filepath.Join(filepath.Dir(name), "..", filepath.FromSlash(journal.FileName(fingerprint)))
		if !exists(path) {
			return ""
		}
		return path
	}
	if machine = find(r.file.Metadata.Machine); machine == "" {
		return "", nil
	}
	for _, fingerprint := range r.file.Metadata.Recipes {
		path := find(fingerprint)
		if path == "" {
			return machine, nil
		}
		recipes = append(recipes, path)
	}
	return machine, recipes
}

// foreign says where the trace is of another machine file or version, and
// whether that is in the way.
func (r *replaying) foreign(io cli.Streams, anyway bool) error {
	if !r.file.HasMetadata {
		fmt.Fprintf(io.Out, "%s has no sidecar: nobody says which machine file and version it is of\n", r.file.Name())
		return nil
	}
	meta, other := r.file.Metadata, false
	fmt.Fprintf(io.Out, "%s: a %s trace of version %s\n", r.file.Name(), meta.Origin, meta.Program)
	if meta.Machine != r.machine.Fingerprint {
		other = true
		fmt.Fprintf(io.Out, "it was recorded with another machine file: fingerprint %.12s, this one is %.12s\n", meta.Machine, r.machine.Fingerprint)
	}
	if meta.Program != version.Version {
		other = true
		fmt.Fprintf(io.Out, "it was recorded by version %s, this is %s\n", meta.Program, version.Version)
	}
	if tick := r.config.Interlock.Tick; meta.Tick != tick {
		other = true
		fmt.Fprintf(io.Out, "its rows are %s apart, the machine's tick is %s: it is a trace to look at, every tick would be late\n", quantity.FormatDuration(meta.Tick), quantity.FormatDuration(tick))
	}
	for i, fingerprint := range meta.Recipes {
		if i >= len(r.recipes) || r.recipes[i].Fingerprint != fingerprint || len(r.recipes) != len(meta.Recipes) {
			other = true
			fmt.Fprintf(io.Out, "it was recorded with other recipes than these: its number %d is %.12s\n", i+1, fingerprint)
			break
		}
	}
	if other && !anyway {
		return errors.New("the replay does not go on by itself: ask for it with -anyway")
	}
	return nil
}

// begin makes the supervisor, which goes on from the state that the trace begins
// with, or has just started.
func (r *replaying) begin(io cli.Streams, anyway bool) error {
	r.supervisor = supervisor.New(r.config, supervisor.Kept{})
	if r.what != nil {
		r.what.supervisor = supervisor.New(r.what.config, supervisor.Kept{})
	}
	if r.file.Metadata.State == "" {
		return nil
	}
	var state supervisor.State
	if err := freeze.Parse(r.file.Metadata.State, &state); err != nil {
		if !anyway {
			return fmt.Errorf("%s begins in the middle of a run, and %w; -anyway replays it as if the program had just started", r.file.Name(), err)
		}
		fmt.Fprintf(io.Out, "it begins in the middle of a run, and is replayed as if the program had just started: %s\n", err)
		return nil
	}
	r.supervisor = supervisor.Resume(r.config, state)
	if r.what != nil {
		r.what.supervisor = supervisor.Resume(r.what.config, state)
	}
	return nil
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}
