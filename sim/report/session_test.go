package report

import (
	"math/rand/v2"
	"time"
)

// A made-up session for the tests: 70 minutes, a bath from 20 to 50 degC, one
// fan that stops at 41 minutes, and a probe without a reading for a while.
// Nothing of it was measured.

const tick = 100 * time.Millisecond

var (
	sessionEnd = 70 * time.Minute
	fanStops   = 41 * time.Minute
)

// phaseAt is the phase of the made-up session.
func phaseAt(at time.Duration) string {
	switch {
	case at < 40*time.Second:
		return "purge"
	case at < 24*time.Minute:
		return "preheat"
	case at < 30*time.Minute:
		return "degas"
	case at < 36*time.Minute:
		return "clean"
	case at < 36*time.Minute+30*time.Second:
		return "roll-call"
	case at < fanStops+time.Second:
		return "clean"
	case at < 50*time.Minute:
		return "run-on"
	}
	return "idle"
}

// demoReport feeds a whole report tick by tick, as a caller would.
func demoReport() *Report {
	noise := rand.New(rand.NewPCG(1, 2))
	bathA, bathB, cabinet := NewTrack(), NewTrack(), NewTrack()
	watts, fan1, fan2 := NewTrack(), NewTrack(), NewTrack()
	contactor, fans, heater := NewBars(), NewBars(), NewBars()
	banks := make([]*Bars, 6)
	for i := range banks {
		banks[i] = NewBars()
	}
	phases := NewPhases()
	bath, air := 20.0, 21.0
	rpm1, rpm2 := 0.0, 0.0
	wobble := func(size float64) float64 { return size * (noise.Float64() + noise.Float64() - 1) }
	heating := false
	for at := time.Duration(0); at <= sessionEnd; at += tick {
		phase := phaseAt(at)
		phases.Enter(at, phase)
		emitting := phase == "clean" || phase == "degas" && at%(10*time.Second) < 6*time.Second
		if bath > 50 {
			heating = false
		} else if bath < 49.6 {
			heating = true
		}
		heat := heating && (phase == "preheat" || phase == "degas" || phase == "clean")
		w := 3.0
		if heat {
			w += 1000
			bath += 0.0024
		}
		for i, b := range banks {
			on := emitting && !(phase == "roll-call" && int(at/(5*time.Second))%6 == i)
			b.Set(at, on)
			if on {
				w += 80.5
			}
		}
		if phase == "roll-call" {
			w += 400
		}
		if emitting {
			bath += 0.0003
			air += 0.0012
		}
		bath -= (bath - 19) * 0.0000085
		air -= (air - 21) * 0.00012
		want := 0.0
		if phase != "idle" {
			want = 2600
		}
		rpm1 += (want - rpm1) * 0.04
		if at >= fanStops {
			want = 0
		}
		rpm2 += (want - rpm2) * 0.04
		bathA.Add(at, bath+wobble(0.12))
		if at > 52*time.Minute && at < 54*time.Minute {
			bathB.Gap(at)
		} else {
			bathB.Add(at, bath+0.25+wobble(0.12))
		}
		cabinet.Add(at, air+wobble(0.2))
		watts.Add(at, w+wobble(4+w*0.006))
		fan1.Add(at, max(0, rpm1+wobble(rpm1*0.012)))
		fan2.Add(at, max(0, rpm2*0.99+wobble(rpm2*0.012)))
		contactor.Set(at, phase != "idle")
		fans.Set(at, phase != "idle")
		heater.Set(at, heat)
	}
	marks := NewMarks()
	marks.Add(Mark{0, "session started", "the session \"slides, brass\" was started at the tank", Note})
	marks.Add(Mark{24 * time.Minute, "50 degC reached", "the bath reached its 50.0 degC", Note})
	marks.Add(Mark{33*time.Minute + 12*time.Second, "bath 51.2 degC: heater held", "bath A at 51.2 degC, over the recipe limit of 51.0 degC: heater held", Hold})
	marks.Add(Mark{fanStops + time.Second, "fan 2 at 310 rpm: emission stopped", "fan 2 at 310 rpm, below its 1500 rpm minimum for 1.0 s: emission stopped", Trip})
	marks.Add(Mark{50 * time.Minute, "cabinet cool", "the cabinet is at 28.0 degC: fans off after the run-on", Note})
	r := &Report{
		Title:    "Demo session with fan 2 failing at 41 minutes",
		Subtitle: "Synthetic: modelled tank, seed 7, tick 100 ms",
		Facts: []Fact{
			{"Recipe", "slides, brass"}, {"Result", "ended by a trip at 0:41:01"},
			{"First cause", "fan 2 at 310 rpm, below its 1500 rpm minimum for 1.0 s"},
			{"Emission", "0:16:04 of 0:20:00 planned"}, {"Energy", "0.54 kWh"},
		},
		Sheet: Sheet{
			Panels: []Panel{
				{Title: "Temperature", Unit: "degC", Lines: []Line{{"bath A", bathA}, {"bath B", bathB}, {"cabinet", cabinet}},
					Limits: []Limit{{"recipe limit 51", 51}, {"cabinet limit 55", 55}, {"high limit 80", 80}}},
				{Title: "Power at the meter", Unit: "W", Lines: []Line{{"mains", watts}}, FromZero: true},
				{Title: "Fan speed", Unit: "rpm", Lines: []Line{{"fan 1", fan1}, {"fan 2", fan2}},
					Limits: []Limit{{"minimum 1500", 1500}}, FromZero: true},
			},
			Phases: phases, Marks: marks,
			Outputs: []Output{{"contactor", contactor}, {"fans", fans}, {"heater", heater}},
		},
		Cautions: []string{
			"This session was simulated. It shows what the supervisor would do, not what your tank will do.",
			"Wiring of mains equipment is work for a licensed electrician under your local code.",
		},
	}
	for i, b := range banks {
		r.Sheet.Outputs = append(r.Sheet.Outputs, Output{"bank " + string(rune('1'+i)), b})
	}
	for _, m := range marks.List() {
		r.Events = append(r.Events, Event{m.At, m.Text, m.Severity})
	}
	return r
}
