package machine

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/tomlfile"
	"bathtender/hal/board/pulsemeter"
	"bathtender/hal/quantity"
)

// MeterKinds are the mains meters that a machine file can name.
var MeterKinds = []string{ModbusMeter, PulseMeter}

// The kinds of meters.
const (
	ModbusMeter = "Modbus RTU energy meter"
	PulseMeter  = "S0 pulse meter"
)

func (r *reader) readMeter() {
	to, t := &r.m.Meter, r.meter
	to.Kind = t.NeedChoice("kind", MeterKinds...)
	to.Port = t.Text("port", 60)
	to.Refresh = tomlfile.Need(t, "refresh", quantity.Duration, 50*time.Millisecond, 5*time.Second)
	to.Resolution = tomlfile.Need(t, "resolution", quantity.Power, physic.Watt/10, 50*physic.Watt)
	to.Volts = t.NeedTruth("volts")
	to.Standby = tomlfile.Need(t, "standby", quantity.Power, 0, 200*physic.Watt)
	to.Max = tomlfile.Or(t, "max", quantity.Power, 0, 100*physic.Watt, 20*physic.KiloWatt)
	if to.Kind == PulseMeter {
		if to.Volts {
			r.file.Contradict(t.Ref("volts"), "does not go with", t.Ref("kind"), "a pulse meter tells watts alone: allowed is volts = false")
		}
		to.Pulses = t.NeedInteger("pulses_per_kwh", 1, pulsemeter.PulsesMost)
		for _, key := range []string{"address", "baud", "parity", "register"} {
			if t.Has(key) {
				t.Report(key, "%s does not go with %s, a pulse meter has none: allowed is a file without it", t.Ref(key), t.Ref("kind"))
			}
		}
		return
	}
	if t.Good("kind") && t.Has("pulses_per_kwh") {
		t.Report("pulses_per_kwh", "%s does not go with %s, it gives no pulses: allowed is a file without it", t.Ref("pulses_per_kwh"), t.Ref("kind"))
	}
	to.Address = t.NeedInteger("address", 1, 247)
	to.Baud = t.Integer("baud", defaultBaud, 1200, 115200)
	to.Parity = t.Choice("parity", defaultParity, "none", "even", "odd")
	r.readRegisters()
}

func (r *reader) readRegisters() {
	var seen = map[string]*tomlfile.Table{}
	for _, t := range r.meter.Tables("register") {
		reg := Register{
			Quantity: t.NeedChoice("quantity", "watts", "volts", "amperes", "hertz"),
			Number:   t.NeedInteger("number", 0, 65535),
			Table:    t.Choice("table", defaultTable, "input", "holding"),
			Form:     t.Choice("form", defaultForm, "float32", "uint16", "int16", "uint32", "int32"),
			Order:    t.Choice("order", defaultOrder, "ABCD", "CDAB", "BADC", "DCBA"),
			Divide:   t.Integer("divide", 1, 1, 1000000),
		}
		if first := seen[reg.Quantity]; first != nil && t.Good("quantity") {
			r.file.Contradict(t.Ref("quantity"), "is the same as", first.Ref("quantity"), "each quantity may have one register")
		}
		seen[reg.Quantity] = t
		r.m.Meter.Registers = append(r.m.Meter.Registers, reg)
	}
	if len(r.m.Meter.Registers) == 0 {
		return
	}
	if seen["watts"] == nil {
		r.meter.Report("", "%s has registers but none for watts, one with quantity \"watts\" must be there", r.meter.Label())
	}
	if r.m.Meter.Volts && seen["volts"] == nil {
		r.meter.Report("volts", "volts true in %s has no register to be read from, allowed is one with quantity \"volts\", or volts = false", r.meter.Label())
	}
}
