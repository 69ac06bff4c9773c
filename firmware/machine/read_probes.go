package machine

import (
	"regexp"

	"bathtender/hal"
)

// ProbeKinds are the temperature probes that a machine file can name.
var ProbeKinds = []string{OneWire, "Pt100", "Pt1000", "NTC thermistor"}

// OneWire is the kind of probe that a board can read.
const OneWire = "1-Wire digital thermometer"

// probeKeys are the probes' tables, in the order of hal.BathA, hal.BathB and
// hal.Cabinet.
var probeKeys = [hal.MaxProbes]string{"bath_a", "bath_b", "cabinet"}

// The address of a 1-Wire thermometer as Linux shows it: family code, a hyphen
// and twelve hexadecimal digits.
var oneWireAddress = regexp.MustCompile(`^[0-9a-f]{2}-[0-9a-f]{12}$`)

func (r *reader) readProbes() {
	all := r.file.Root().Table("probe")
	if all == nil {
		return
	}
	for place, key := range probeKeys {
		if place == hal.BathA {
			r.probes[place] = all.Table(key)
		} else {
			r.probes[place] = all.TableIf(key)
		}
		r.readProbe(place)
	}
}

func (r *reader) readProbe(place int) {
	t := r.probes[place]
	if t == nil {
		return
	}
	p := &r.m.Probes[place]
	p.Fitted = true
	p.Kind = t.NeedChoice("kind", ProbeKinds...)
	if p.Kind != OneWire {
		p.Address = t.Text("address", 60)
		if t.Has("bits") {
			r.file.Contradict(t.Ref("bits"), "does not go with", t.Ref("kind"), "only a digital thermometer has bits: allowed is a file without them")
		}
		return
	}
	p.Bits = t.Integer("bits", defaultBits, 9, 12)
	p.Address = t.NeedText("address", 60)
	if t.Good("address") && !oneWireAddress.MatchString(p.Address) {
		t.Report("address", "address %q in %s is not that of a 1-Wire thermometer, allowed is as in %q",
			p.Address, t.Label(), "28-0123456789ab")
	}
	for other := range place {
		if t.Good("address") && r.probes[other].Good("address") && r.m.Probes[other].Address == p.Address {
			r.file.Contradict(t.Ref("address"), "is the same as", r.probes[other].Ref("address"),
				"each probe must have an address of its own")
		}
	}
}
