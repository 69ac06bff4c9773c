// Package record keeps what a session showed, tick by tick, for its report:
// curves, bars, phases and marks of bounded size, whatever the session's length.
package record

import (
	"fmt"
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/machine"
	"bathtender/firmware/recipe"
	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/interlock"
	"bathtender/sim/plant"
	"bathtender/sim/report"
)

// Recorder keeps one session. Make one with New.
type Recorder struct {
	machine *machine.Machine

	bath                              [2]*report.Track
	cabinet                           *report.Track
	watts, expected                   *report.Track
	volts                             *report.Track
	fans                              []*report.Track
	plate, winding                    *report.Track
	joint                             *report.Track
	hasTruth                          bool
	bankWatts                         []*report.Track
	litres, least, most, truly, atEnd *report.Track
	contactor, fansOn                 *report.Bars
	heater                            *report.Bars
	banks                             []*report.Bars
	phases                            *report.Phases
	marks                             *report.Marks
	events                            []report.Event
	dropped                           int
	limit                             physic.Temperature
	from, to                          time.Duration
	begun                             bool
}

// eventsMost bounds the timeline of a report; a page with more is not read.
const eventsMost = 500

// New returns an empty recorder for a machine.
func New(m *machine.Machine) *Recorder {
	r := &Recorder{
		machine: m,
		bath:    [2]*report.Track{report.NewTrack(), report.NewTrack()},
		cabinet: report.NewTrack(), watts: report.NewTrack(), volts: report.NewTrack(), expected: report.NewTrack(),
		plate: report.NewTrack(), winding: report.NewTrack(), joint: report.NewTrack(),
		contactor: report.NewBars(), fansOn: report.NewBars(), heater: report.NewBars(),
		litres: report.NewTrack(), least: report.NewTrack(), most: report.NewTrack(),
		truly: report.NewTrack(), atEnd: report.NewTrack(),
		phases: report.NewPhases(), marks: report.NewMarks(),
	}
	for range m.Fans {
		r.fans = append(r.fans, report.NewTrack())
	}
	for range m.Banks {
		r.banks = append(r.banks, report.NewBars())
		r.bankWatts = append(r.bankWatts, report.NewTrack())
	}
	return r
}

// Tick keeps one tick.
func (r *Recorder) Tick(s *hal.Snapshot, out hal.Outputs, status *supervisor.Status) {
	at := s.Time
	if !r.begun {
		r.from, r.begun = at, true
	}
	r.to = at
	add(r.bath[0], at, s.Probes[hal.BathA], celsius)
	add(r.bath[1], at, s.Probes[hal.BathB], celsius)
	add(r.cabinet, at, s.Probes[hal.Cabinet], celsius)
	add(r.watts, at, s.Meter.Watts, func(p physic.Power) float64 { return float64(p) / float64(physic.Watt) })
	add(r.volts, at, s.Meter.Volts, func(v physic.ElectricPotential) float64 { return float64(v) / float64(physic.Volt) })
	for i, track := range r.fans {
		add(track, at, s.Fans[i], func(v hal.RotationalSpeed) float64 { return float64(v) / float64(hal.RPM) })
	}
	r.contactor.Set(at, out.Contactor)
	r.fansOn.Set(at, out.Fans)
	r.heater.Set(at, out.Heater)
	for i, bars := range r.banks {
		bars.Set(at, out.Banks.Has(i))
	}
	r.estimates(at, &status.Estimates)
	name := status.Phase.String()
	if status.Phase == recipe.Idle {
		name = ""
	}
	r.phases.Enter(at, name)
}

// estimates keeps what health has worked out.
func (r *Recorder) estimates(at time.Duration, e *interlock.Estimates) {
	for i, track := range r.bankWatts {
		add(track, at, e.Bank[i], func(p physic.Power) float64 { return float64(p) / float64(physic.Watt) })
	}
	litre := func(v hal.Volume) float64 { return float64(v) / float64(hal.Litre) }
	low, high := e.Volume, e.Volume
	low.Value, high.Value = max(low.Value-e.VolumeBand, 0), high.Value+e.VolumeBand
	add(r.litres, at, e.Volume, litre)
	add(r.least, at, low, litre)
	add(r.most, at, high, litre)
	add(r.atEnd, at, e.AtEnd, celsius)
}

// Truth keeps what only the modelled cabinet knows of this tick.
func (r *Recorder) Truth(t *plant.Truth) {
	r.hasTruth = true
	r.plate.Add(t.Time, t.Plate-273.15)
	r.truly.Add(t.Time, t.Litres)
	hottest, joint := 0.0, 0.0
	for i := range r.banks {
		hottest, joint = max(hottest, t.Winding[i]), max(joint, t.Joint[i])
	}
	r.winding.Add(t.Time, hottest-273.15)
	r.joint.Add(t.Time, joint-273.15)
}

// Event keeps a sentence of the timeline; one with a short form is also marked
// in the picture.
func (r *Recorder) Event(at time.Duration, severity report.Severity, text, short string) {
	if len(r.events) < eventsMost {
		r.events = append(r.events, report.Event{At: at, Text: text, Severity: severity})
	} else {
		r.dropped++
	}
	if short != "" {
		r.marks.Add(report.Mark{At: at, Label: short, Text: text, Severity: severity})
	}
}

// Limit notes the limit of the recipe that runs.
func (r *Recorder) Limit(t physic.Temperature) { r.limit = max(r.limit, t) }

func add[Q ~int64](track *report.Track, at time.Duration, reading hal.Reading[Q], number func(Q) float64) {
	if !reading.Valid {
		track.Gap(at)
		return
	}
	track.Add(at, number(reading.Value))
}

func celsius(t physic.Temperature) float64 {
	return float64(t-physic.ZeroCelsius) / float64(physic.Kelvin)
}

// Report returns the report of what was kept.
func (r *Recorder) Report(title, subtitle string, facts []report.Fact) *report.Report {
	if r.dropped > 0 {
		r.events = append(r.events, report.Event{At: r.to, Text: fmt.Sprintf("%d more lines are left out", r.dropped)})
		r.dropped = 0
	}
	return &report.Report{
		Title: title, Subtitle: subtitle, Facts: facts,
		Sheet: r.sheet(), Events: r.events, Cautions: cautions,
	}
}

// Watts and Bath are the curves that a terminal shows too.
func (r *Recorder) Watts() *report.Track { return r.watts }

// Bath returns the curve of the first bath probe.
func (r *Recorder) Bath() *report.Track { return r.bath[0] }

// Fan returns the curve of a fan, by its place from 0.
func (r *Recorder) Fan(i int) *report.Track { return r.fans[i] }

// Span returns the time from the first tick to the last.
func (r *Recorder) Span() (from, to time.Duration) { return r.from, r.to }
