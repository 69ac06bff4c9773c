package main

import (
	"encoding/json"
	"strconv"
	"strings"

	"bathtender/firmware/journal"
	"bathtender/hal"
	"bathtender/interlock"
)

// functionName returns the name of a protective function with that of the fan,
// probe or bank; one that this version does not know, as it stands.
func functionName(t *journal.Trip) string {
	for slot := range interlock.Slots {
		f, place := interlock.Find(slot)
		if f.Name() == t.Function && (interlock.Table[f].Scope == interlock.Whole || place+1 == t.Place) {
			return interlock.Event{Function: f, Place: uint8(place)}.Name()
		}
	}
	name := oneLine(t.Function)
	if t.Place != 0 {
		name += " (place " + strconv.Itoa(t.Place) + ")"
	}
	return name
}

// fields are the readings of a record by their names, and the names in order.
type fields struct {
	names  []string
	values map[string]string
}

// parseReadings reads the readings of a record. What is no object of plain values
// has no fields.
func parseReadings(text json.RawMessage) fields {
	f := fields{values: map[string]string{}}
	eachMember(text, func(name string, value json.RawMessage) {
		var plain string
		if json.Unmarshal(value, &plain) != nil {
			plain = string(value)
		}
		f.names = append(f.names, name)
		f.values[name] = plain
	})
	return f
}

// take returns a value, and takes it out of those that are still to be told.
func (f *fields) take(name string) (string, bool) {
	value, ok := f.values[name]
	delete(f.values, name)
	return value, ok
}

// sensors are the readings in the order in which they are told.
var sensors = []struct {
	name, about, unit string
	always            bool // told where there is no reading too
}{
	{"bath_a_degC", "bath probe A", "\u00b0C", true},
	{"bath_b_degC", "bath probe B", "\u00b0C", true},
	{"cabinet_degC", "cabinet probe", "\u00b0C", true},
	{"mains_V", "mains voltage", "V", false},
	{"mains_W", "mains power", "W", true},
	{"mains_A", "mains current", "A", false},
	{"mains_Hz", "mains frequency", "Hz", false},
}

var contacts = []struct{ name, about string }{
	{"level_ok", "float switch"},
	{"lid_closed", "lid switch"},
	{"stop_closed", "stop loop"},
	{"leak_dry", "leak sensor"},
	{"contactor_aux", "auxiliary contact"},
}

// bits are the other readings, and the outputs, of 0 and 1.
var bits = []struct{ name, about, off, on string }{
	{"record_ok", "journal", "not durable", "durable"},
	{"kept_ok", "kept state", "not known", "known"},
	{"outputs_ok", "output lines", "not as commanded", "as commanded"},
}

var outputs = []struct{ name, about, off, on string }{
	{"out_contactor", "contactor", "off", "on"},
	{"out_fans", "fans", "off", "on"},
	{"out_heater", "heater", "off", "on"},
	{"out_banks", "banks", "", ""},
	{"out_heartbeat", "heartbeat", "low", "high"},
	{"out_watchdog", "watchdog", "not fed", "fed"},
	{"out_sounder", "sounder", "off", "on"},
	{"out_lamp", "lamp", "off", "on"},
}

// readings tells what the sensors said at the tick of a trip, and what was
// commanded.
func (p *page) readings(t *journal.Trip) {
	f := parseReadings(t.Readings)
	f.take("time_s") // told already
	p.print("\nreadings at that tick\n")
	for _, s := range sensors {
		p.reading(&f, s.name, s.about, s.unit, s.always)
	}
	for i := range hal.MaxFans {
		fan := "fan_" + strconv.Itoa(i+1)
		p.reading(&f, fan+"_rpm", "fan "+strconv.Itoa(i+1), "rpm", i < p.fans(t))
	}
	p.print("\ncontacts\n")
	for _, c := range contacts {
		p.fact(c.about, "%s", contactWord(&f, c.name))
	}
	for _, b := range bits {
		if value, ok := f.take(b.name); ok {
			p.fact(b.about, "%s", bitWord(value, b.off, b.on))
		}
	}
	if request, ok := f.take("request"); ok {
		p.fact("asked for", "%s", oneLine(request))
	}
	p.print("\ncommanded\n")
	for _, o := range outputs {
		value, ok := f.take(o.name)
		switch {
		case !ok:
		case o.name == "out_banks":
			p.fact(o.about, "%s", banksWords(value))
		default:
			p.fact(o.about, "%s", bitWord(value, o.off, o.on))
		}
	}
	for _, name := range f.names {
		if value, ok := f.take(name); ok {
			p.fact(oneLine(name), "%s", oneLine(value))
		}
	}
}

// fans returns how many fans the cabinet has, as far as the record or its window
// tells.
func (p *page) fans(t *journal.Trip) int {
	if p.sheet != nil {
		return p.sheet.Fans
	}
	if strings.Contains(functionName(t), "(fan ") {
		return t.Place
	}
	return 0
}

// reading tells one reading with its age.
func (p *page) reading(f *fields, name, about, unit string, always bool) {
	value, ok := f.take(name)
	ageName := name[:strings.LastIndexByte(name, '_')] + "_age_s"
	if unit != "rpm" && unit != "\u00b0C" {
		ageName = name + "_age_s" // the meter has several units
	}
	age, aged := f.take(ageName)
	switch {
	case ok && aged:
		p.print("  %-17s  %9s %-3s  %6s s old\n", about, oneLine(value), unit, oneLine(age))
	case ok:
		p.print("  %-17s  %9s %s\n", about, oneLine(value), unit)
	case always:
		p.print("  %-17s  %9s\n", about, "no reading")
	}
}

func contactWord(f *fields, name string) string {
	value, fitted := f.take(name)
	if !fitted {
		return "absent"
	}
	return bitWord(value, "open", "closed")
}

// bitWord returns the word for a 0 or 1, and anything else as it stands.
func bitWord(value, off, on string) string {
	switch value {
	case "0":
		return off
	case "1":
		return on
	}
	return oneLine(value)
}

// banksWords returns the banks that are on: "1, 2 and 5 of 6".
func banksWords(value string) string {
	var on []string
	for i, c := range []byte(value) {
		switch c {
		case '1':
			on = append(on, strconv.Itoa(i+1))
		case '0':
		default:
			return oneLine(value)
		}
	}
	switch {
	case len(on) == 0:
		return "off"
	case len(on) == len(value):
		return "all " + strconv.Itoa(len(on)) + " on"
	}
	return strings.Join(on, ", ") + " of " + strconv.Itoa(len(value)) + " on"
}
