package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/machine"
	"bathtender/firmware/version"
	"bathtender/hal"
	"bathtender/hal/quantity"
	"bathtender/hal/trace"
	"bathtender/sim/drive"
	"bathtender/sim/record"
	"bathtender/sim/report"
	"bathtender/sim/scenario"
)

// folder is a report folder being written: pictures, page, trace, summary.
type folder struct {
	dir      string
	recorder *record.Recorder
	trace    *trace.File
	row      trace.Row
}

// newFolder begins a report folder. A report that was there is written over.
func newFolder(dir string, m *machine.Machine, seed uint64, tick time.Duration) (*folder, error) {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, fmt.Errorf("the report folder cannot be made: %w", err)
	}
	path := filepath.Join(dir, "session.csv")
	for _, old := range []string{path, trace.SidecarPath(path)} {
		if err := os.Remove(old); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return nil, fmt.Errorf("the old trace cannot be removed: %w", err)
		}
	}
	file, err := trace.Create(path, layoutOf(m), trace.Metadata{
		Origin: trace.Synthetic, Program: version.Version, Machine: m.Fingerprint, Tick: tick, Seed: seed,
	})
	if err != nil {
		return nil, err
	}
	return &folder{dir: dir, recorder: record.New(m), trace: file}, nil
}

// layoutOf returns the columns of a machine's traces.
func layoutOf(m *machine.Machine) trace.Layout {
	return trace.Layout{Fans: len(m.Fans), Banks: len(m.Banks), Ages: true, Outputs: true}
}

// watch keeps one tick.
func (f *folder) watch(s *drive.Session, lines []scenario.Line) error {
	status := s.Supervisor.Status()
	f.recorder.Tick(&s.Snapshot, s.Outputs, &status)
	truth := s.Plant.Truth()
	f.recorder.Truth(&truth)
	for _, l := range lines {
		f.recorder.Event(l.At, reportSeverity(l.Severity), l.Text, l.Short)
	}
	f.row = trace.Row{Snapshot: s.Snapshot, Request: s.Request, Outputs: s.Outputs, HasOutputs: true}
	return f.trace.Write(&f.row)
}

func reportSeverity(s scenario.Severity) report.Severity {
	switch s {
	case scenario.Trip:
		return report.Trip
	case scenario.Hold:
		return report.Hold
	default:
		return report.Note
	}
}

// summary is summary.json.
type summary struct {
	Scenario, Machine, Recipe string
	Fingerprint               string
	Program                   string
	Seed                      uint64
	Passed                    bool
	Failures                  []string
	Trips                     int
	FirstOut                  string
	Seconds                   float64
	Ticks                     int64
	WattHours, LitresLeft     float64
	WorstDegC                 map[string]float64
	Events                    []summaryEvent
}

type summaryEvent struct {
	Seconds  float64
	Severity string
	Text     string
}

// finish writes the pictures, the page and the summary, and returns the paths
// of all that was written.
func (f *folder) finish(sc *scenario.Scenario, result scenario.Result, story []scenario.Line) ([]string, error) {
	if err := f.trace.Close(); err != nil {
		return nil, err
	}
	f.recorder.Limit(sc.Recipe.Recipe.Limit)
	sum := summarise(sc, result, story)
	facts := []report.Fact{
		{Name: "machine", Value: sc.Machine.Name}, {Name: "recipe", Value: sc.Recipe.Recipe.Name},
		{Name: "outcome", Value: outcome(result)},
		{Name: "trips", Value: fmt.Sprint(result.Trips)},
		{Name: "session time", Value: quantity.FormatDuration(result.Took)},
		{Name: "energy from the mains", Value: fmt.Sprintf("%.0f Wh", result.WattHours)},
		{Name: "liquid left", Value: quantity.FormatVolume(hal.Volume(result.Litres * float64(hal.Litre)))},
		{Name: "hottest driver winding", Value: degrees(result.Worst.Winding)},
		{Name: "hottest heater plate", Value: degrees(result.Worst.Plate)},
		{Name: "seed", Value: fmt.Sprint(sc.World.Seed)}, {Name: "machine file", Value: sc.Machine.Fingerprint[:12]},
		{Name: "program", Value: version.Version},
	}
	if result.FirstOut != "" {
		facts = append(facts[:4], append([]report.Fact{{Name: "first-out", Value: result.FirstOut}}, facts[4:]...)...)
	}
	title := fmt.Sprintf("%s, recipe %s", sc.Machine.Name, sc.Recipe.Recipe.Name)
	page := f.recorder.Report(title, "a simulated session in a modelled cabinet", facts)
	paths, err := page.WriteFolder(f.dir)
	if err != nil {
		return paths, err
	}
	data, err := json.MarshalIndent(sum, "", "  ")
	if err != nil {
		return paths, err
	}
	path := filepath.Join(f.dir, "summary.json")
	if err := os.WriteFile(path, append(data, '\n'), 0o644); err != nil {
		return paths, fmt.Errorf("the summary cannot be written: %w", err)
	}
	csv := filepath.Join(f.dir, "session.csv")
	return append(paths, path, csv, trace.SidecarPath(csv)), nil
}

func summarise(sc *scenario.Scenario, result scenario.Result, story []scenario.Line) summary {
	c := func(kelvin float64) float64 { return math.Round(10*(kelvin-273.15)) / 10 }
	sum := summary{
		Scenario: sc.Name, Machine: sc.Machine.Name, Recipe: sc.Recipe.Recipe.Name,
		Fingerprint: sc.Machine.Fingerprint, Program: version.Version, Seed: sc.World.Seed,
		Passed: len(result.Failures) == 0, Failures: result.Failures, Trips: result.Trips, FirstOut: result.FirstOut,
		Seconds: result.Took.Seconds(), Ticks: result.Ticks, WattHours: result.WattHours, LitresLeft: result.Litres,
		WorstDegC: map[string]float64{
			"bath": c(result.Worst.Bath), "heater plate": c(result.Worst.Plate), "winding": c(result.Worst.Winding),
			"joint": c(result.Worst.Joint), "cabinet": c(result.Worst.Cabinet),
		},
	}
	for _, l := range story {
		sum.Events = append(sum.Events, summaryEvent{l.At.Seconds(), [...]string{"note", "cabinet", "found", "hold", "trip"}[l.Severity], l.Text})
	}
	return sum
}

func outcome(r scenario.Result) string {
	if len(r.Failures) == 0 {
		return "as expected"
	}
	return quantity.Count(len(r.Failures), "failure")
}

func degrees(kelvin float64) string {
	return quantity.FormatTemperature(physic.Temperature(kelvin * float64(physic.Kelvin)))
}
