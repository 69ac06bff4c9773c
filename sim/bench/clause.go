package bench

import (
	"fmt"
	"slices"
	"strings"

	"bathtender/firmware/recipe"
	"bathtender/hal"
	"bathtender/hal/quantity"
	"bathtender/interlock"
)

// outputs are the things that are commanded, and how each is read.
var outputs = map[string]func(hal.Outputs) bool{
	"contactor": func(o hal.Outputs) bool { return o.Contactor },
	"fans":      func(o hal.Outputs) bool { return o.Fans },
	"heater":    func(o hal.Outputs) bool { return o.Heater },
	"emission":  func(o hal.Outputs) bool { return o.Banks != 0 },
	"sounder":   func(o hal.Outputs) bool { return o.Sounder },
	"lamp":      func(o hal.Outputs) bool { return o.Lamp },
	"watchdog":  func(o hal.Outputs) bool { return o.FeedWatchdog },
}

// beings begin a sentence about something that is commanded.
var beings = map[string]string{
	"contactor": "the contactor is", "fans": "the fans are", "heater": "the heater is", "emission": "emission is",
	"sounder": "the sounder is", "lamp": "the lamp is", "watchdog": "the watchdog is", "bank": "that bank is",
}

// output reads what is expected of something that is commanded.
func (r *reader) output(w word) (clause, error) {
	name, on, off, look := w.text, "on", "off", outputs[w.text]
	switch name {
	case "watchdog":
		on, off = "fed", "unfed"
	case "bank":
		place, err := r.number("bank", len(r.cabinet.Machine.Banks))
		if err != nil {
			return clause{}, err
		}
		name, look = fmt.Sprintf("bank %d", place+1), func(o hal.Outputs) bool { return o.Banks.Has(place) }
	}
	state, err := r.one("state", on, off)
	if err != nil {
		return clause{}, err
	}
	return clause{wanted: name + " " + state, look: func(s *Session) (bool, string) {
		is := off
		if look(s.Bench.Outputs) {
			is = on
		}
		return is == state, beings[w.text] + " " + is
	}}, nil
}

// permit reads what is expected of a permit.
func (r *reader) permit() (clause, error) {
	name, err := r.one("permit", "contactor", "heater", "emission", "start", "bank")
	if err != nil {
		return clause{}, err
	}
	place := 0
	if name == "bank" {
		if place, err = r.number("bank", len(r.cabinet.Machine.Banks)); err != nil {
			return clause{}, err
		}
	}
	state, err := r.one("state", "given", "withheld")
	if err != nil {
		return clause{}, err
	}
	what := name
	if name == "bank" {
		what = fmt.Sprintf("bank %d", place+1)
	}
	return clause{wanted: fmt.Sprintf("permit %s %s", what, state), look: func(s *Session) (bool, string) {
		p := s.Bench.Supervisor.Status().Permits
		given := map[string]bool{
			"contactor": p.Contactor, "heater": p.Heater, "emission": p.Emission, "start": p.Start, "bank": p.Banks.Has(place),
		}[name]
		is := givenOr[given]
		return is == state, fmt.Sprintf("the permit is %s", is)
	}}, nil
}

var givenOr = map[bool]string{true: "given", false: "withheld"}

func (r *reader) phase() (clause, error) {
	names := make([]string, recipe.PhaseCount)
	for p := range recipe.PhaseCount {
		names[p] = p.String()
	}
	name, err := r.one("phase", names...)
	return clause{wanted: "phase " + name, look: func(s *Session) (bool, string) {
		is := s.Bench.Supervisor.Status().Phase.String()
		return is == name, "the phase is " + is
	}}, err
}

// subject is a protective function, with the fan, probe or bank where it says one.
type subject struct {
	function interlock.Function
	place    int // from 0; -1 for any
}

func (f subject) String() string {
	text := quantity.Quote(f.function.Name())
	if f.place >= 0 {
		text += " " + placeName(interlock.Table[f.function].Scope, f.place)
	}
	return text
}

// slots returns the slots of the subject, from the first to one after the last.
func (f subject) slots() (from, to int) {
	from = interlock.SlotOf(f.function, max(f.place, 0))
	if f.place >= 0 {
		return from, from + 1
	}
	return from, interlock.SlotOf(f.function+1, 0)
}

// placeName returns the name of a fan, probe or bank in the language.
func placeName(scope interlock.Scope, place int) string {
	switch scope {
	case interlock.EachFan:
		return point{fan, place}.String()
	case interlock.EachProbe:
		return point{probe, place}.String()
	case interlock.EachBank:
		return point{bank, place}.String()
	default:
		return ""
	}
}

// subject reads the name of a protective function in quotes, and a place.
func (r *reader) subject() (f subject, err error) {
	names := make([]string, interlock.FunctionCount)
	for i := range names {
		names[i] = interlock.Function(i).Name()
	}
	w, ok := r.next()
	if !ok || !w.quoted {
		return f, r.wrong(w, `a protective function is needed here, in quotes as in "airflow lost"`)
	}
	i := slices.Index(names, w.text)
	if i < 0 {
		return f, r.unknown(w, "protective function", names)
	}
	f = subject{interlock.Function(i), -1}
	scope := interlock.Table[i].Scope
	switch next := r.peek(); {
	case scope == interlock.EachFan && next == "fan":
		r.at++
		f.place, err = r.number(next, len(r.cabinet.Machine.Fans))
	case scope == interlock.EachBank && next == "bank":
		r.at++
		f.place, err = r.number(next, len(r.cabinet.Machine.Banks))
	case scope == interlock.EachProbe && next == "cabinet":
		r.at++
		f.place = hal.Cabinet
	case scope == interlock.EachProbe && next == "bath":
		r.at++
		end, err := r.one("bath probe", "a", "b")
		f.place = map[string]int{"a": hal.BathA, "b": hal.BathB}[end]
		return f, err
	}
	return f, err
}

// named returns the names of the slots of a set, with commas.
func named(set *interlock.Set) string {
	var list []string
	for slot := range interlock.Slots {
		if set.Has(slot) {
			f, place := interlock.Find(slot)
			name := quantity.Quote(f.Name())
			if at := placeName(interlock.Table[f].Scope, place); at != "" {
				name += " " + at
			}
			list = append(list, name)
		}
	}
	return strings.Join(list, ", ")
}
