package interlock

import (
	"fmt"
	"strings"
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
	"bathtender/hal/quantity"
)

// Wording is one sentence of a row, with {it}, {value}, {limit} and {stood} in
// it, and the unit of its numbers.
type Wording struct {
	Text string
	Unit Unit
}

// Unit is what a finding's numbers count.
type Unit uint8

// Units of findings; each number is the integer of the type named.
const (
	Nothing               Unit = iota
	Temperature                // physic.Temperature
	TemperatureDifference      // physic.Temperature
	Speed                      // hal.RotationalSpeed
	Power                      // physic.Power
	Voltage                    // physic.ElectricPotential
	Volume                     // hal.Volume
	Span                       // time.Duration
	Share                      // thousandths
)

// Text returns a number in its unit, for people.
func (u Unit) Text(number int64) string {
	switch u {
	case Temperature:
		return quantity.FormatTemperature(physic.Temperature(number))
	case TemperatureDifference:
		return quantity.FormatTemperatureDifference(physic.Temperature(number))
	case Speed:
		return quantity.FormatSpeed(hal.RotationalSpeed(number))
	case Power:
		return quantity.FormatPower(physic.Power(number))
	case Voltage:
		return quantity.FormatVoltage(physic.ElectricPotential(number))
	case Volume:
		return quantity.FormatVolume(hal.Volume(number))
	case Span:
		return stood(time.Duration(number))
	case Share:
		return quantity.FormatShare(number)
	default:
		return ""
	}
}

// stood returns a short time in seconds to a tenth, a longer one as people say it.
func stood(d time.Duration) string {
	if d < time.Minute {
		return fmt.Sprintf("%.1f s", d.Seconds())
	}
	return quantity.FormatDuration(d)
}

// It returns the name of the fan, probe or bank at a place from 0.
func (s Scope) It(place int) string {
	switch s {
	case EachFan:
		return fmt.Sprintf("fan %d", place+1)
	case EachBank:
		return fmt.Sprintf("bank %d", place+1)
	case EachProbe:
		return [hal.MaxProbes]string{"bath probe A", "bath probe B", "the cabinet probe"}[place]
	default:
		return "it"
	}
}

// says returns the sentence for a finding, without what follows from it.
func (r *Row) says(place int, v Verdict, reason uint8, value, limit int64, time Timer) string {
	wording := Wording{Text: r.Blind}
	if v != Unknown && int(reason) < len(r.Says) {
		wording = r.Says[reason]
	}
	if wording.Text == "" {
		return r.named(place) + ": no reading"
	}
	return strings.NewReplacer(
		"{it}", r.Scope.It(place),
		"{value}", wording.Unit.Text(value),
		"{limit}", wording.Unit.Text(limit),
		"{stood}", stood(time.Duration()),
	).Replace(wording.Text)
}

// outcome returns what a row does to what it takes away.
func (r *Row) outcome(place int) string {
	verb := "stopped"
	if r.Latch == Hold {
		verb = "held"
	}
	var text string
	switch {
	case r.Takes.Has(TakesContactor):
		text = "contactor opened"
	case r.Takes.Has(TakesHeater | TakesEmission):
		text = "heater and emission " + verb
	case r.Takes.Has(TakesHeater):
		text = "heater " + verb
	case r.Takes.Has(TakesEmission):
		text = "emission " + verb
	case r.Takes.Has(TakesBank):
		text = r.Scope.It(place) + " taken out"
	default:
		text = "start withheld"
	}
	if r.Latch == Lockout {
		text += " and locked out"
	}
	return text
}

// Name returns the name of the function, with that of the fan, probe or bank.
func (e Event) Name() string {
	if e.Function >= FunctionCount {
		return "no function"
	}
	return Table[e.Function].named(int(e.Place))
}

// Standing returns what stands in the way, without what follows from it.
func (e Event) Standing() string {
	if e.Function >= FunctionCount {
		return "nothing stands in the way"
	}
	row := &Table[e.Function]
	if !e.Verdict.bad() {
		return row.named(int(e.Place)) + " waits for a reset"
	}
	return row.says(int(e.Place), e.Verdict, e.Reason, e.Value, e.Limit, e.Stood)
}

// named returns the name of the row with that of the fan, probe or bank.
func (r *Row) named(place int) string {
	if r.Scope == Whole {
		return r.Name
	}
	return r.Name + " (" + r.Scope.It(place) + ")"
}

// Sentence returns what happened in plain words: "fan 2 at 310 rpm, below its
// 1500 rpm minimum for 1.0 s: emission stopped".
func (e Event) Sentence() string {
	if e.Function >= FunctionCount {
		return "nothing happened"
	}
	row := &Table[e.Function]
	place := int(e.Place)
	because := row.says(place, e.Verdict, e.Reason, e.Value, e.Limit, e.Stood)
	named := row.named(place)
	switch e.Kind {
	case Tripped, Holding:
		return because + ": " + row.outcome(place)
	case Released:
		return named + " has cleared: its hold ends"
	case WasReset:
		return named + " has been reset"
	case ResetRefused:
		return named + " cannot be reset while its cause stands: " + because
	default:
		return "nothing happened"
	}
}

// Sentence returns the first-out in plain words: its function and what it was
// about.
func (f FirstOut) Sentence() string {
	if f.Slot == 0 {
		return "no first-out"
	}
	function, place := Find(int(f.Slot) - 1)
	return Table[function].named(place)
}
