package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"bathtender/hal"
	"bathtender/hal/quantity"
	"bathtender/sim/fault"
	"bathtender/sim/plant"
)

// What the times of the timetable can count from: the cabinet's own start, or the
// first moment at which the program drove something.
const (
	fromStart     = "start"     // of the cabinet
	fromHeartbeat = "heartbeat" // the program is there
	fromContactor = "contactor"
	fromEmission  = "emission" // the first bank is on
	fromOff       = "off"      // nothing is on any more, after an emission
)

var moments = []string{fromStart, fromHeartbeat, fromContactor, fromEmission, fromOff}

// appointment is one thing that happens at its time.
type appointment struct {
	after time.Duration
	from  string // one of moments
	what  string // as it was written
	done  bool

	fault  *fault.Fault // with ends: it is taken away
	ends   bool
	button string // "start button" or "reset button", with down
	down   bool
	over   bool // the cabinet ends
}

// parseAppointment reads one line of a timetable, as in
//
//	6 s after emission: fan stalled, fan 2
//	30 s after emission: no fan stalled, fan 2
//	5 s after emission: probe offset, bath A, 3 K
//	1 s after heartbeat: press start
//	2 s after heartbeat: release start
//	60 s after start: end
func parseAppointment(line string) (appointment, error) {
	a := appointment{}
	when, what, found := strings.Cut(line, ": ")
	after, from, both := strings.Cut(when, " after ")
	if !found || !both {
		return a, fmt.Errorf("appointment %s is not of the form %q", quantity.Quote(line), "6 s after emission: fan stalled, fan 2")
	}
	var err error
	if a.after, err = quantity.ParseDuration(after); err != nil {
		return a, fmt.Errorf("appointment %s: %w", quantity.Quote(line), err)
	}
	a.from = from
	if !slices.Contains(moments, from) {
		return a, fmt.Errorf("appointment %s: %s is no moment, allowed are %s", quantity.Quote(line), quantity.Quote(from), strings.Join(moments, ", "))
	}
	a.what = what
	switch verb, button, _ := strings.Cut(what, " "); {
	case what == "end":
		a.over = true
		return a, nil
	case (verb == "press" || verb == "release") && (button == "start" || button == "reset"):
		a.button, a.down = button+" button", verb == "press"
		return a, nil
	}
	what, a.ends = strings.CutPrefix(what, "no ")
	f, err := parseFault(what)
	if err != nil {
		return a, fmt.Errorf("appointment %s: %w", quantity.Quote(line), err)
	}
	a.fault = &f
	return a, nil
}

// parseFault reads a fault of the catalogue: its name, its place and its amount, where
// it has them, with commas between.
func parseFault(text string) (fault.Fault, error) {
	words := strings.Split(text, ", ")
	kind := fault.Find(words[0])
	if kind == nil {
		return fault.Fault{}, fmt.Errorf("there is no fault %s, allowed are %s", quantity.Quote(words[0]), strings.Join(fault.Names(), ", "))
	}
	f, words := fault.Fault{Kind: kind, Size: 1}, words[1:]
	if kind.Of != fault.TheCabinet {
		place := -1
		if len(words) > 0 {
			place = placeOf(kind.Of, words[0])
		}
		if place < 0 {
			return f, fmt.Errorf("fault %s lacks its place, as in \"fan 2\", \"bank 3\" or \"bath A\"", quantity.Quote(text))
		}
		f.Place, words = place, words[1:]
	}
	if kind.Amount != fault.NoAmount {
		f.Size = kind.Usual
		if len(words) > 0 {
			size, err := kind.Amount.Parse(words[0])
			if err != nil {
				return f, err
			}
			f.Size, words = size, words[1:]
		}
	}
	if len(words) > 0 {
		return f, fmt.Errorf("fault %s has more than it needs: %s", quantity.Quote(text), quantity.Quote(strings.Join(words, ", ")))
	}
	return f, nil
}

// placeOf returns the place, from 0, that is named, -1 where none is.
func placeOf(of fault.Target, text string) int {
	for i, name := range fault.ProbeNames {
		if of == fault.AProbe && text == name {
			return i
		}
	}
	kind, most := "fan ", hal.MaxFans
	if of == fault.ABank {
		kind, most = "bank ", hal.MaxBanks
	}
	number, found := strings.CutPrefix(text, kind)
	n, err := strconv.Atoi(number)
	if of == fault.AProbe || !found || err != nil || n < 1 || n > most {
		return -1
	}
	return n - 1
}

// timetable is what is to happen, and since when which moment has been.
type timetable struct {
	list []appointment
	been map[string]time.Duration
}

// happens notes a moment, the first time that there is one.
func (t *timetable) happens(moment string, now time.Duration) {
	if _, been := t.been[moment]; !been {
		t.been[moment] = now
	}
}

// due returns the appointments whose time has come, each once.
func (t *timetable) due(now time.Duration) (list []appointment) {
	for i := range t.list {
		a := &t.list[i]
		since, been := t.been[a.from]
		if been && !a.done && now >= since+a.after {
			a.done = true
			list = append(list, *a)
		}
	}
	return list
}

// apply makes or ends the fault of an appointment.
func (a *appointment) apply(faults *plant.Faults) {
	switch {
	case a.fault == nil:
	case a.ends:
		a.fault.End(faults)
	default:
		a.fault.Begin(faults)
	}
}
