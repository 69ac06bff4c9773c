package bench

import (
	"fmt"
	"strconv"
	"strings"

	"bathtender/hal"
	"bathtender/hal/quantity"
)

// kind is what a person can set on the bench.
type kind uint8

const (
	probe   kind = iota // a temperature
	fan                 // a tach's speed
	mains               // the meter's volts
	watts               // the meter's watts
	contact             // a switch of the cabinet
	assent              // what the board says of itself: good or bad
	heater              // the watts that the heater takes when it is on
	bank                // the same of a bank
)

// point is one thing that a person can set: a reading or a dummy load.
type point struct {
	kind  kind
	place int // from 0
}

// The places of contacts and assents.
const (
	level = iota
	lid
	stopLoop
	leak
	aux
	contacts
)

const (
	journal = iota
	kept
	lines
	assents
)

var (
	probeNames   = [hal.MaxProbes]string{hal.BathA: "bath a", hal.BathB: "bath b", hal.Cabinet: "cabinet"}
	contactNames = [contacts]string{level: "level", lid: "lid", stopLoop: "stop", leak: "leak", aux: "contactor"}
	assentNames  = [assents]string{journal: "journal", kept: "kept", lines: "outputs"}
)

// String returns the point's name in the language.
func (p point) String() string {
	switch p.kind {
	case probe:
		return probeNames[p.place]
	case fan:
		return fmt.Sprintf("fan %d", p.place+1)
	case bank:
		return fmt.Sprintf("bank %d", p.place+1)
	case contact:
		return contactNames[p.place]
	case assent:
		return assentNames[p.place]
	default:
		return [...]string{mains: "mains", watts: "watts", heater: "heater"}[p.kind]
	}
}

// analog reports whether the point is a number and not a state.
func (p point) analog() bool { return p.kind != contact && p.kind != assent }

// aged reports whether the point is a reading that can have an age or be
// missing.
func (p point) aged() bool { return p.kind <= watts }

// pointWords are the words that a point's name begins with.
var pointWords = []string{
	"bath", "cabinet", "fan", "fans", "mains", "watts", "level", "lid", "stop", "leak", "contactor",
	"journal", "kept", "outputs", "heater", "bank", "banks",
}

// points reads the name of one point or of several alike: "bath" is both of the
// bath's probes, "fans" and "banks" are all of them.
func (r *reader) points() ([]point, error) {
	w, ok := r.next()
	if !ok {
		return nil, r.missing("a reading", pointWords)
	}
	if w.quoted {
		return nil, r.unknown(w, "reading", pointWords)
	}
	m := r.cabinet.Machine
	fitted := func(p point, is bool, what string) ([]point, error) {
		if !is {
			return nil, r.wrong(w, "%s has nothing to be set: this machine has no %s", w.text, what)
		}
		return []point{p}, nil
	}
	c := &m.Contacts
	switch w.text {
	case "bath":
		return r.bath(w)
	case "cabinet":
		return fitted(point{probe, hal.Cabinet}, m.Probes[hal.Cabinet].Fitted, "cabinet probe")
	case "fan", "fans":
		return r.numbered(w, fan, "fan", len(m.Fans))
	case "bank", "banks":
		return r.numbered(w, bank, "bank", len(m.Banks))
	case "mains":
		return fitted(point{kind: mains}, m.Meter.Volts, "meter that reports volts")
	case "watts":
		return []point{{kind: watts}}, nil
	case "heater":
		return fitted(point{kind: heater}, m.Heater.Power > 0, "heater")
	case "level":
		return fitted(point{contact, level}, c.Float, "float switch")
	case "lid":
		return fitted(point{contact, lid}, c.Lid, "lid switch")
	case "stop":
		return []point{{contact, stopLoop}}, nil
	case "leak":
		return fitted(point{contact, leak}, c.Leak, "leak sensor")
	case "contactor":
		return fitted(point{contact, aux}, c.Aux, "auxiliary contact on its contactor")
	case "journal":
		return []point{{assent, journal}}, nil
	case "kept":
		return []point{{assent, kept}}, nil
	case "outputs":
		return []point{{assent, lines}}, nil
	}
	return nil, r.unknown(w, "reading", pointWords)
}

// bath reads what follows the word bath: a, b or nothing.
func (r *reader) bath(w word) ([]point, error) {
	probes := &r.cabinet.Machine.Probes
	one := func(place int, name string) ([]point, error) {
		r.at++
		if !probes[place].Fitted {
			return nil, r.wrong(w, "bath probe %s has nothing to be set: this machine has none", name)
		}
		return []point{{probe, place}}, nil
	}
	switch r.peek() {
	case "a", "A":
		return one(hal.BathA, "A")
	case "b", "B":
		return one(hal.BathB, "B")
	}
	var both []point
	for _, place := range [...]int{hal.BathA, hal.BathB} {
		if probes[place].Fitted {
			both = append(both, point{probe, place})
		}
	}
	return both, nil
}

// numbered reads the number of a fan or a bank; the plural is all of them.
func (r *reader) numbered(w word, k kind, name string, n int) ([]point, error) {
	if w.text != name {
		all := make([]point, n)
		for i := range all {
			all[i] = point{k, i}
		}
		return all, nil
	}
	place, err := r.number(name, n)
	return []point{{k, place}}, err
}

// number reads the number of a fan or a bank and returns its place from 0.
func (r *reader) number(name string, n int) (int, error) {
	w, ok := r.next()
	if !ok {
		return 0, r.missing("the number of a "+name, numbers(n))
	}
	number, err := strconv.Atoi(w.text)
	if err != nil || number < 1 || number > n {
		return 0, r.wrong(w, "%s %s does not exist: this machine has 1 to %d", name, quantity.Quote(w.text), n)
	}
	return number - 1, nil
}

func numbers(n int) []string {
	list := make([]string, n)
	for i := range list {
		list[i] = strconv.Itoa(i + 1)
	}
	return list
}

// names lists what can be set on this bench.
func (b *Bench) names() string {
	var list []string
	for place := range b.probes {
		if b.Machine.Probes[place].Fitted {
			list = append(list, point{probe, place}.String())
		}
	}
	for _, p := range b.followable() {
		list = append(list, p.String())
	}
	return strings.Join(list, ", ")
}
