package main

import (
	"flag"
	"fmt"
	"io"
	"os"
	"runtime"
	"strings"
	"time"

	"bathtender/firmware/cli"
	"bathtender/firmware/fileerror"
	"bathtender/firmware/supervisor"
	"bathtender/hal/quantity"
	"bathtender/sim/prove"
)

// runProve searches everything that the supervisor can come to do in small
// worlds.
func runProve(streams cli.Streams, args []string) error {
	s := flag.NewFlagSet("prove", flag.ContinueOnError)
	name := s.String("view", "", "`NAME` of the one view to search; all of them without")
	out := s.String("out", "", "`FOLDER` for the traces that break a rule, to be replayed; none without")
	if _, err := flags(s, streams.Out, args, 0, 0); err != nil {
		return err
	}
	views := prove.Views()
	if *name != "" {
		view := prove.Find(*name)
		if view == nil {
			return usageError(fmt.Sprintf("-view %q is no view, allowed are %s", *name, viewNames(views)))
		}
		views = []*prove.View{view}
	}
	if *out != "" {
		if err := os.MkdirAll(*out, 0o777); err != nil {
			return fmt.Errorf("folder %q cannot be made: %w", *out, fileerror.Cause(err))
		}
	}
	shown := newProgress(streams.Err)
	begun := time.Now()
	results, err := prove.All(views, runtime.GOMAXPROCS(0), shown.found)
	shown.done()
	if err != nil {
		return err
	}
	tellViews(streams.Out, results, time.Since(begun))
	return tellRules(streams.Out, results, *out)
}

func viewNames(views []*prove.View) string {
	var names []string
	for _, v := range views {
		names = append(names, v.Name)
	}
	return strings.Join(names, ", ")
}

// found shows how far a search is.
func (p *progress) found(states, transitions int) {
	if p.out == nil || time.Now().Before(p.next) {
		return
	}
	p.next = time.Now().Add(100 * time.Millisecond)
	line := fmt.Sprintf("%d states, %d transitions", states, transitions)
	p.done()
	fmt.Fprint(p.out, line)
	p.width = len(line)
}

// tellViews tells how much was searched, and how fast.
func tellViews(w io.Writer, results []*prove.Result, took time.Duration) {
	fmt.Fprintf(w, "%-10s %7s %9s %12s %6s\n", "view", "inputs", "states", "transitions", "depth")
	states, transitions, bytes := 0, 0, 0
	for _, r := range results {
		fmt.Fprintf(w, "%-10s %7d %9d %12d %6d\n", r.View.Name, r.Inputs, r.States, r.Transitions, r.Depth)
		states, transitions, bytes = states+r.States, transitions+r.Transitions, bytes+r.Bytes
	}
	seconds := max(took.Seconds(), 1e-3)
	fmt.Fprintf(w, "%s, %s, %s in %.1f s: %.0f states and %.0f transitions a second, %d bytes a state\n",
		quantity.Count(len(results), "view"), quantity.Count(states, "state"), quantity.Count(transitions, "transition"),
		took.Seconds(), float64(states)/seconds, float64(transitions)/seconds, bytes/max(states, 1))
}

// tellRules tells which rules held, and how those that did not are broken.
func tellRules(w io.Writer, results []*prove.Result, out string) error {
	failed := false
	for i := range prove.InvariantCount {
		trail := shortest(results, func(r *prove.Result) *prove.Trail { return r.Broken[i] })
		if trail == nil {
			fmt.Fprintf(w, "held: %s: %s\n", i, i.Text())
			continue
		}
		failed = true
		fmt.Fprintf(w, "BROKEN: %s: %s\n", i, i.Text())
		if err := tellTrail(w, trail, out, i.String()); err != nil {
			return err
		}
	}
	for k := range prove.KnownCount {
		trail := shortest(results, func(r *prove.Result) *prove.Trail { return r.Known[k] })
		if trail == nil {
			continue
		}
		fmt.Fprintf(w, "known, but for which %q holds: %s\n", k.Of(), k.Text())
		if err := tellTrail(w, trail, out, k.String()); err != nil {
			return err
		}
	}
	if failed {
		return errFailed
	}
	return nil
}

// shortest returns the shortest of the results' trails, the first of several.
func shortest(results []*prove.Result, of func(*prove.Result) *prove.Trail) (best *prove.Trail) {
	for _, r := range results {
		if t := of(r); t != nil && (best == nil || len(t.Path) < len(best.Path)) {
			best = t
		}
	}
	return best
}

// tellTrail tells a trail, and writes its trace into the folder, if there is one.
func tellTrail(w io.Writer, t *prove.Trail, out, name string) error {
	fmt.Fprintf(w, "  a shortest way to it, in view %s:\n", t.View.Name)
	var text strings.Builder
	if err := t.WriteText(&text); err != nil {
		return err
	}
	for line := range strings.Lines(text.String()) {
		fmt.Fprint(w, "    ", line)
	}
	if out == "" {
		return nil
	}
	path, err := t.WriteTrace(out, t.View.Name+"-"+strings.ReplaceAll(name, " ", "-"))
	if err != nil {
		return err
	}
	fmt.Fprintf(w, "  trace: %s\n", path)
	if t.Estimated() {
		fmt.Fprintln(w, "  it has estimates in it, which no trace keeps: a replay works them out anew and may decide otherwise")
	}
	return nil
}

// viewCabinet returns the small machine of a view, which no file describes, for
// replaying a trace that breaks a rule.
func viewCabinet(view *prove.View) (cabinet, error) {
	c, err := loadCabinet("", nil)
	if err != nil {
		return c, err
	}
	m := *c.machine
	m.Fingerprint = view.Fingerprint()
	m.Banks = m.Banks[:view.Rules.Interlock.Power.Banks]
	return cabinet{machine: &m, config: supervisor.Config{Rules: view.Rules}}, nil
}
