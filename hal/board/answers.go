package board

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"bathtender/hal"
	"bathtender/hal/quantity"
)

// Answer says in plain words whether one line or sensor answered, and what.
type Answer struct {
	Name string // of the signal or sensor
	OK   bool   // it answered
	Text string // what it said, or why not
}

// Answers asks every line and sensor. It is for people, not for the loop: it takes
// as long as the lines take to read, and allocates.
func (b *Board) Answers() []Answer {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.closed {
		return []Answer{{Name: "board", Text: errClosed.Error()}}
	}
	now := b.kernel.now()
	var list []Answer
	for i := range b.outputs {
		list = append(list, b.outputs[i].answers()...)
	}
	for i := range b.inputs {
		list = append(list, b.inputs[i].answers()...)
	}
	for i, fan := range b.fans {
		if fan != nil {
			list = append(list, b.fanAnswer(i, now))
		}
	}
	for i, name := range [hal.MaxProbes]string{"bath probe A", "bath probe B", "cabinet probe"} {
		if p := b.config.Probes[i]; p != nil {
			list = append(list, sensorAnswer(name, p.Read(now), quantity.FormatTemperature))
		}
	}
	if b.config.Meter != nil {
		list = append(list, meterAnswers(b.config.Meter.Read(now))...)
	}
	if b.dog != nil {
		list = append(list, Answer{"watchdog", true, "running, to be fed within " + quantity.FormatDuration(b.config.Watchdog.Timeout)})
	}
	return list
}

// answers returns those of the outputs of one chip.
func (g *outputs) answers() []Answer {
	list := make([]Answer, len(g.names))
	on, err := g.lines.Get()
	for bit, name := range g.names {
		is, want := onOff(on&(1<<bit) != 0), onOff(g.want&(1<<bit) != 0)
		switch {
		case err != nil:
			list[bit] = Answer{name, false, oneLine(err)}
		case is != want:
			list[bit] = Answer{name, false, "set " + want + ", and reads " + is}
		default:
			list[bit] = Answer{name, true, is}
		}
	}
	return list
}

// answers returns those of the inputs of one chip.
func (g *inputs) answers() []Answer {
	list := make([]Answer, len(g.names))
	on, err := g.lines.Get()
	for bit, name := range g.names {
		is := on&(1<<bit) != 0
		list[bit] = Answer{name, true, hal.ContactOf(is).String()}
		switch r := g.signals[bit].role; {
		case err != nil:
			list[bit] = Answer{name, false, oneLine(err)}
		case (r == roleStart || r == roleReset) && is:
			list[bit].Text = "pressed"
		case r == roleStart || r == roleReset:
			list[bit].Text = "not pressed"
		}
	}
	return list
}

// fanAnswer returns that of a fan's tach.
func (b *Board) fanAnswer(place int, now time.Duration) Answer {
	name := fmt.Sprintf("fan %d tach", place+1)
	r := b.fans[place].Speed(now)
	minimum := b.config.Fans[place].Minimum
	switch {
	case !r.Valid:
		if err := b.monitorErr(); err != nil {
			return Answer{name, false, oneLine(err)}
		}
		return Answer{name, false, "no speed: the pulses are not those of a fan, some were lost, or it has not been watched for long enough"}
	case r.Value == 0:
		return Answer{name, true, "the fan stands"}
	case r.Value < minimum:
		return Answer{name, true, quantity.FormatSpeed(r.Value) + ", below its minimum of " + quantity.FormatSpeed(minimum)}
	default:
		return Answer{name, true, quantity.FormatSpeed(r.Value)}
	}
}

func (b *Board) monitorErr() error {
	var problems []error
	for _, m := range b.monitors {
		problems = append(problems, m.Err())
	}
	return errors.Join(problems...)
}

// sensorAnswer returns that of a sensor which is measured beside the loop.
func sensorAnswer[Q ~int64](name string, r hal.Reading[Q], format func(Q) string) Answer {
	switch {
	case !r.Valid:
		return Answer{name, false, "no reading"}
	case r.Age >= time.Second:
		return Answer{name, true, format(r.Value) + ", " + quantity.FormatDuration(r.Age.Truncate(100*time.Millisecond)) + " ago"}
	default:
		return Answer{name, true, format(r.Value)}
	}
}

// meterAnswers returns the meter's watts, and what else it gives.
func meterAnswers(m hal.Meter) []Answer {
	list := []Answer{sensorAnswer("meter, watts", m.Watts, quantity.FormatPower)}
	for _, more := range []struct {
		fitted bool
		answer Answer
	}{
		{m.Volts.Valid, sensorAnswer("meter, volts", m.Volts, quantity.FormatVoltage)},
		{m.Amperes.Valid, sensorAnswer("meter, amperes", m.Amperes, quantity.FormatCurrent)},
		{m.Frequency.Valid, sensorAnswer("meter, frequency", m.Frequency, quantity.FormatFrequency)},
	} {
		if more.fitted {
			list = append(list, more.answer)
		}
	}
	return list
}

func onOff(on bool) string {
	if on {
		return "on"
	}
	return "off"
}

// oneLine returns the sentences of an error in one line.
func oneLine(err error) string { return strings.ReplaceAll(err.Error(), "\n", "; ") }
