package scenario

import (
	"fmt"
	"regexp"
	"strings"
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/supervisor"
	"bathtender/hal/quantity"
	"bathtender/sim/plant"
)

// expectation is an Expect with what has become of it.
type expectation struct {
	*Expect
	pattern *regexp.Regexp
	met     bool
	metAt   time.Duration
	done    bool   // met and stayed, or failed
	failure string // the sentence
	said    bool
}

func newExpectations(sc *Scenario) []expectation {
	list := make([]expectation, len(sc.Expects))
	for i := range list {
		list[i].Expect = &sc.Expects[i]
		parts := strings.Split(sc.Expects[i].Says, "*")
		for j := range parts {
			parts[j] = regexp.QuoteMeta(parts[j])
		}
		list[i].pattern = regexp.MustCompile("^" + strings.Join(parts, ".*") + "$")
	}
	return list
}

// open reports whether it may still come true or fail.
func (e *expectation) open() bool { return !e.done }

// anchor returns the time of the event that it counts from.
func (e *expectation) anchor(r *runner) (time.Duration, bool) {
	if e.After == 0 {
		return 0, true
	}
	event := r.events[e.After-1]
	return event.at, event.begun
}

// look judges the expectation at one tick.
func (e *expectation) look(r *runner, truth *plant.Truth, status *supervisor.Status) {
	from, begun := e.anchor(r)
	if e.done || !begun {
		return
	}
	now := r.session.Now()
	for _, line := range r.lines {
		e.said = e.said || e.Says != "" && e.pattern.MatchString(line.Text)
	}
	missing := e.missing(r, truth, status)
	switch {
	case !e.met && missing == "":
		e.met, e.metAt = true, now
		e.done = e.Stays == 0
	case !e.met && now >= from+e.Within:
		e.fail(r, fmt.Sprintf("%s after %s", missing, quantity.FormatDuration(now-from)))
	case e.met && now >= e.metAt+e.Stays:
		e.done = true
	case e.met && missing != "":
		e.fail(r, fmt.Sprintf("%s only %s after it was met", missing, quantity.FormatDuration(now-e.metAt)))
	}
	if e.met && !e.done && e.metAt > from+e.Within {
		e.fail(r, fmt.Sprintf("it was met after %s", quantity.FormatDuration(e.metAt-from)))
	}
}

// missing returns what is not as expected; empty where everything is.
func (e *expectation) missing(r *runner, truth *plant.Truth, status *supervisor.Status) string {
	if e.Says != "" && !e.said {
		return "nobody has said " + quantity.Quote(e.Says)
	}
	if e.HasPhase && status.Phase != e.Phase {
		return fmt.Sprintf("the phase is %s, not %s,", status.Phase, e.Phase)
	}
	if first := status.FirstOut.Sentence(); e.FirstOut != "" && first != e.FirstOut {
		return fmt.Sprintf("the first-out is %s, not %s,", first, e.FirstOut)
	}
	for _, thing := range e.On {
		if !isOn(thing, r, truth) {
			return thing.is("off")
		}
	}
	for _, thing := range e.Off {
		if isOn(thing, r, truth) {
			return thing.is("on")
		}
	}
	return ""
}

// is returns a sentence such as "the fans are on".
func (thing Thing) is(state string) string {
	verb := "is"
	if thing == Fans {
		verb = "are"
	}
	return fmt.Sprintf("the %s %s %s", thing, verb, state)
}

// isOn reports whether something is really on: in the plant, not in the
// supervisor's mind.
func isOn(thing Thing, r *runner, truth *plant.Truth) bool {
	switch thing {
	case Contactor:
		return truth.ContactorClosed
	case Heater:
		return truth.HeaterOn
	case Emission:
		return truth.Emitting != 0
	case Fans:
		return truth.FanWatts > 0
	default:
		return r.session.Outputs.Sounder
	}
}

func (e *expectation) fail(r *runner, found string) {
	after := "the start"
	if e.After > 0 {
		after = quantity.Quote(r.sc.Events[e.After-1].name)
	}
	e.done = true
	e.failure = fmt.Sprintf("%s:%d:%d: expected %s within %s after %s, but %s",
		r.sc.Name, e.at.Line, e.at.Column, e.wanted(), quantity.FormatDuration(e.Within), after, found)
}

// wanted returns what is expected, in words.
func (e *expectation) wanted() string {
	var parts []string
	if e.Says != "" {
		parts = append(parts, "the sentence "+quantity.Quote(e.Says))
	}
	if e.HasPhase {
		parts = append(parts, "phase "+e.Phase.String())
	}
	if e.FirstOut != "" {
		parts = append(parts, "first-out "+e.FirstOut)
	}
	for _, thing := range e.On {
		parts = append(parts, string(thing)+" on")
	}
	for _, thing := range e.Off {
		parts = append(parts, string(thing)+" off")
	}
	text := strings.Join(parts, ", ")
	if e.Stays > 0 {
		text += " for " + quantity.FormatDuration(e.Stays)
	}
	return text
}

// finish closes what is still open and judges the bounds.
func (r *runner) finish() {
	for i := range r.expects {
		e := &r.expects[i]
		if !e.done && e.met && e.Stays > 0 {
			e.done = true // it stayed until the end
		}
		if !e.done {
			e.fail(r, "the run was over before")
		}
		if e.failure != "" {
			r.result.Failures = append(r.result.Failures, e.failure)
		}
	}
	b, worst := &r.sc.Bounds, &r.result.Worst
	for _, one := range [...]struct {
		name         string
		bound, value float64
	}{
		{"bath", b.Bath, worst.Bath}, {"heater plate", b.Plate, worst.Plate}, {"driver windings", b.Winding, worst.Winding},
		{"bonded joints", b.Joint, worst.Joint}, {"cabinet's air", b.Cabinet, worst.Cabinet},
	} {
		if one.bound > 0 && one.value > one.bound {
			r.result.Failures = append(r.result.Failures, fmt.Sprintf("%s: the %s got to %s, over its %s bound", r.sc.Name, one.name, kelvins(one.value), kelvins(one.bound)))
		}
	}
	if b.Trips >= 0 && r.result.Trips != b.Trips {
		r.result.Failures = append(r.result.Failures, fmt.Sprintf("%s: it came to %s, expected %d", r.sc.Name, trips(r.result.Trips), b.Trips))
	}
	truth := r.session.Plant.Truth()
	r.result.Took, r.result.Ticks = r.session.Now(), r.session.Ticks
	r.result.Litres = truth.Litres
	r.result.WattHours = r.session.Plant.Energy().Electrical / 3600
}

func kelvins(k float64) string {
	return quantity.FormatTemperature(physic.Temperature(k * float64(physic.Kelvin)))
}

func trips(n int) string {
	if n == 1 {
		return "1 trip"
	}
	return fmt.Sprintf("%d trips", n)
}
