package scenario

import (
	"strings"
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/tomlfile"
	"bathtender/hal/quantity"
)

func (r *reader) expect(t *tomlfile.Table) {
	e := Expect{at: t.At()}
	if after := t.Text("after", 120); after != "" {
		e.After = r.eventNamed(t, after)
	}
	e.Within = tomlfile.Need(t, "within", quantity.Duration, 0, 60*24*time.Hour)
	e.Stays = tomlfile.Or(t, "stays", quantity.Duration, 0, 0, 60*24*time.Hour)
	e.Says = t.Text("says", 400)
	e.FirstOut = t.Text("first_out", 120)
	if t.Has("phase") {
		e.Phase, e.HasPhase = phase(t, "phase")
	}
	e.On, e.Off = things(t, "on"), things(t, "off")
	if !t.Has("says") && !t.Has("first_out") && !t.Has("phase") && !t.Has("on") && !t.Has("off") {
		t.Report("within", "%s expects nothing, allowed is any of says, first_out, phase, on and off", t.Label())
	}
	r.s.Expects = append(r.s.Expects, e)
}

// eventNamed returns the place plus 1 of the event with a name.
func (r *reader) eventNamed(t *tomlfile.Table, name string) int {
	var names []string
	for i := range r.s.Events {
		if r.s.Events[i].name == name {
			return i + 1
		}
		names = append(names, quantity.Quote(r.s.Events[i].name))
	}
	if r.unsure {
		return 0 // it may be the one that could not be read
	}
	t.Report("after", "after %s in %s is no event of this scenario, allowed are %s", quantity.Quote(name), t.Label(), strings.Join(names, ", "))
	return 0
}

// things reads a list such as "contactor, emission".
func things(t *tomlfile.Table, key string) []Thing {
	text := t.Text(key, 80)
	if text == "" {
		return nil
	}
	var list []Thing
	for word := range strings.SplitSeq(text, ",") {
		switch thing := Thing(strings.TrimSpace(word)); thing {
		case Contactor, Heater, Emission, Fans, Sounder:
			list = append(list, thing)
		default:
			t.Report(key, "%s %s in %s has the unknown %s, allowed are contactor, heater, emission, fans, sounder, with commas between them",
				key, quantity.Quote(text), t.Label(), quantity.Quote(string(thing)))
			return nil
		}
	}
	return list
}

func (r *reader) bounds(t *tomlfile.Table) {
	b := &r.s.Bounds
	b.Trips = -1
	if t == nil {
		return
	}
	bound := func(key string) float64 {
		zero := physic.ZeroCelsius
		return celsius(tomlfile.Or(t, key, quantity.Temperature, 0, zero, zero+1000*physic.Kelvin))
	}
	b.Bath, b.Plate, b.Winding, b.Joint, b.Cabinet = bound("bath"), bound("plate"), bound("winding"), bound("joint"), bound("cabinet")
	b.Trips = t.Integer("trips", -1, 0, 1000)
}
