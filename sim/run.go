package main

import (
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"time"

	"bathtender/firmware/cli"
	"bathtender/firmware/journal"
	"bathtender/hal"
	"bathtender/hal/quantity"
	"bathtender/interlock"
	"bathtender/sim/drive"
	"bathtender/sim/report"
	"bathtender/sim/scenario"
	"bathtender/testdata"
)

// demoScenario is the built-in scenario.
const demoScenario = "scenarios/fan-fails.toml"

func demo(io cli.Streams, args []string) error {
	s := flag.NewFlagSet("demo", flag.ContinueOnError)
	out := s.String("out", filepath.Join(os.TempDir(), "bathtender", "demo"), "`FOLDER` for the report")
	if _, err := flags(s, io.Out, args, 0, 0); err != nil {
		return err
	}
	sc, err := scenario.LoadFrom(testdata.FS.ReadFile, demoScenario)
	if err != nil {
		return err
	}
	fmt.Fprintf(io.Out, "The demo: %s\n%s, recipe %q, seed %d. All of it is simulated.\n\n",
		sc.About, sc.Machine.Name, sc.Recipe.Recipe.Name, sc.World.Seed)
	tellLegend(io.Out)
	return play(io, sc, playing{dir: *out, tell: true})
}

func runScenarios(io cli.Streams, args []string) error {
	s := flag.NewFlagSet("run", flag.ContinueOnError)
	out := s.String("out", "", "`FOLDER` for the reports, one within it for each scenario; none without")
	quiet := s.Bool("quiet", false, "print only how each scenario went")
	book := s.String("journal", "", "`FOLDER` of a journal to record the runs in, one after another; made where there is none")
	seed := s.Uint64("seed", 0, "`SEED` to use in place of that of the scenarios; 0 for theirs")
	words, err := flags(s, io.Out, args, 1, math.MaxInt)
	if err != nil {
		return err
	}
	folders, err := foldersOf(words, *out)
	if err != nil {
		return err
	}
	var folder journal.Disk
	if *book != "" {
		disk, lock, err := openJournal(*book)
		if err != nil {
			return err
		}
		defer lock.Close()
		folder = disk
	}
	failed := false
	for _, name := range words {
		sc, err := scenario.Load(name)
		if err != nil {
			fmt.Fprintln(io.Err, err) // the others are played all the same
			failed = true
			continue
		}
		if *seed != 0 {
			sc.World.Seed = *seed
		}
		dir := folders[name]
		if !*quiet {
			fmt.Fprintf(io.Out, "%s: %s\n%s, recipe %q, seed %d\n\n", name, sc.About, sc.Machine.Name, sc.Recipe.Recipe.Name, sc.World.Seed)
			tellLegend(io.Out)
		}
		switch err := play(io, sc, playing{dir: dir, journal: folder, tell: !*quiet}); {
		case err == errFailed:
			failed = true
		case err != nil:
			return fmt.Errorf("%s: %w", name, err)
		}
	}
	if failed {
		return errFailed
	}
	return nil
}

// foldersOf returns the report folder of each scenario, named for its file; none
// without a folder for all.
func foldersOf(names []string, out string) (map[string]string, error) {
	folders, taken := map[string]string{}, map[string]string{}
	if out == "" {
		return folders, nil
	}
	for _, name := range names {
		dir := filepath.Join(out, strings.TrimSuffix(filepath.Base(name), filepath.Ext(name)))
		if first, twice := taken[dir]; twice {
			return nil, usageError(fmt.Sprintf("the reports of %q and %q would both lie in %q, allowed are files of different names", first, name, dir))
		}
		taken[dir], folders[name] = name, dir
	}
	return folders, nil
}

// playing is how a scenario is played: the folder of its report, none without;
// the journal to record it in, nil for none; whether its story is told.
type playing struct {
	dir     string
	journal journal.Disk
	tell    bool
}

// play plays one scenario.
func play(io cli.Streams, sc *scenario.Scenario, how playing) error {
	dir, tell := how.dir, how.tell
	shown := newProgress(io.Err)
	var story []scenario.Line
	watchers := []scenario.Watcher{func(s *drive.Session, lines []scenario.Line) error {
		shown.show(sc.Name, s.Now())
		if len(lines) > 0 {
			shown.done()
		}
		story = append(story, lines...)
		for _, l := range lines {
			if tell {
				tellLine(io.Out, l)
			}
		}
		return nil
	}}
	var f *folder
	if dir != "" {
		var err error
		if f, err = newFolder(dir, sc.Machine, sc.World.Seed, sc.Config.Interlock.Tick); err != nil {
			return err
		}
		watchers = append(watchers, f.watch)
	}
	begun := time.Now()
	result, err := how.run(sc, watchers)
	shown.done()
	if err != nil {
		return err
	}
	wall := time.Since(begun)
	if tell {
		fmt.Fprintln(io.Out)
		if f != nil {
			tellCurves(io.Out, f, sc)
		}
		tellResult(io.Out, sc, result)
		tellSpeed(io.Out, result.Took, wall)
	}
	if f != nil {
		paths, err := f.finish(sc, result, story)
		if err != nil {
			return err
		}
		if tell {
			fmt.Fprintf(io.Out, "report: %s\n", filepath.Join(dir, "index.html"))
			for _, path := range paths {
				fmt.Fprintf(io.Out, "        %s\n", filepath.Base(path))
			}
		}
	}
	return verdict(io.Out, io.Err, sc, result)
}

// run plays the scenario, with a journal where there is one.
func (how playing) run(sc *scenario.Scenario, watchers []scenario.Watcher) (scenario.Result, error) {
	if how.journal == nil {
		return sc.Run(watchers...)
	}
	begun, err := nextWall(how.journal)
	if err != nil {
		return scenario.Result{}, err
	}
	return sc.Record(how.journal, begun, watchers...)
}

// verdict prints how the scenario went.
func verdict(out, errs io.Writer, sc *scenario.Scenario, result scenario.Result) error {
	if len(result.Failures) == 0 {
		fmt.Fprintf(out, "passed: %s, %s\n", sc.Name, quantity.Count(len(sc.Expects), "expectation"))
		return nil
	}
	for _, failure := range result.Failures {
		fmt.Fprintln(errs, failure)
	}
	fmt.Fprintf(out, "failed: %s, %s\n", sc.Name, quantity.Count(len(result.Failures), "failure"))
	return errFailed
}

// tellCurves prints the main curves in a line each.
func tellCurves(w io.Writer, f *folder, sc *scenario.Scenario) {
	from, to := f.recorder.Span()
	const columns = 60
	fmt.Fprintf(w, "  bath %s\n", f.recorder.Bath().Sparkline("degC", columns, from, to, report.Blocks))
	fmt.Fprintf(w, " mains %s\n", f.recorder.Watts().Sparkline("W", columns, from, to, report.Blocks))
	for i := range sc.Machine.Fans {
		fmt.Fprintf(w, " fan %d %s\n", i+1, f.recorder.Fan(i).Sparkline("rpm", columns, from, to, report.Blocks))
	}
	fmt.Fprintln(w)
}

// tellResult prints what the session came to.
func tellResult(w io.Writer, sc *scenario.Scenario, r scenario.Result) {
	if r.FirstOut != "" {
		fmt.Fprintf(w, "first-out: %s\n", r.FirstOut)
	}
	fmt.Fprintf(w, "%s, %.0f Wh from the mains, %.1f l left in the tank\n", quantity.Count(r.Trips, "trip"), r.WattHours, r.Litres)
	tellEstimates(w, &r.Estimates)
	fmt.Fprintf(w, "hottest, in truth: bath %s, heater plate %s, driver winding %s, bonded joint %s, cabinet %s\n",
		degrees(r.Worst.Bath), degrees(r.Worst.Plate), degrees(r.Worst.Winding), degrees(r.Worst.Joint), degrees(r.Worst.Cabinet))
}

// tellEstimates prints what health had worked out by the end of the session.
func tellEstimates(w io.Writer, e *interlock.Estimates) {
	if !e.Volume.Valid {
		return
	}
	fmt.Fprintf(w, "by heat balance: %s in the tank, give or take %s", quantity.FormatVolume(e.Volume.Value), quantity.FormatVolume(e.VolumeBand))
	if e.Evaporating.Valid {
		fmt.Fprintf(w, "; %.2f l an hour evaporating", float64(e.Evaporating.Value)/float64(hal.Litre))
	}
	if e.ToMinimum.Valid {
		fmt.Fprintf(w, ", %.0f h to the minimum", e.ToMinimum.Value.Hours())
	}
	fmt.Fprintln(w)
}
