package machine

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/tomlfile"
	"bathtender/hal"
	"bathtender/hal/quantity"
)

// reader fills in a machine from its file, table by table. It keeps the tables,
// so that the checks can say where a value stands.
type reader struct {
	file *tomlfile.File
	m    *Machine

	tank, liquid, mains, heater, meter, contacts, limits, timings *tomlfile.Table
	banks, fans                                                   []*tomlfile.Table
	probes                                                        [hal.MaxProbes]*tomlfile.Table
	lines                                                         []*tomlfile.Table
	control, board                                                *tomlfile.Table
}

func newReader(file *tomlfile.File) *reader {
	root := file.Root()
	return &reader{
		file: file, m: &Machine{},
		tank: root.Table("tank"), liquid: root.TableIf("liquid"), mains: root.Table("mains"),
		heater: root.TableIf("heater"), banks: root.Tables("bank"), fans: root.Tables("fan"),
		meter: root.Table("meter"), contacts: root.Table("contacts"), limits: root.Table("limits"), timings: root.Table("timings"),
		lines: root.Tables("wiring"), control: root.TableIf("control"), board: root.TableIf("board"),
	}
}

func (r *reader) read() {
	r.m.Name = r.file.Root().NeedText("name", 60)
	r.readTank()
	r.readMains()
	r.readBanks()
	r.readFans()
	r.readProbes()
	r.readMeter()
	r.readContacts()
	r.readLimits()
	r.readTimings()
	r.readDelays()
	r.readWiring()
	r.readControl()
	r.readBoard()
}

func celsius(degrees int) physic.Temperature {
	return physic.ZeroCelsius + physic.Temperature(degrees)*physic.Celsius
}

func (r *reader) readTank() {
	const mm, m = physic.MilliMetre, physic.Metre
	to, t := &r.m.Tank, r.tank
	to.Length = tomlfile.Need(t, "length", quantity.Distance, 50*mm, 5*m)
	to.Width = tomlfile.Need(t, "width", quantity.Distance, 50*mm, 2*m)
	to.Depth = tomlfile.Need(t, "depth", quantity.Distance, 30*mm, 1500*mm)
	to.Fill = tomlfile.Need(t, "fill", quantity.Distance, 10*mm, 1500*mm)
	to.Minimum = tomlfile.Need(t, "minimum", quantity.Distance, 10*mm, 1500*mm)
	to.Wall = tomlfile.Need(t, "wall", quantity.Distance, mm/2, 10*mm)
	to.Lid = t.Truth("lid", false)

	liquid := &r.m.Liquid
	liquid.Water = int(tomlfile.Or(r.liquid, "dilution", quantity.Dilution, 0, 1, 1000))
	liquid.FlashPoint = tomlfile.Or(r.liquid, "flash_point", quantity.Temperature, 0, celsius(-50), celsius(300))
}

func (r *reader) readMains() {
	const volt = physic.Volt
	to, t := &r.m.Mains, r.mains
	to.Nominal = tomlfile.Need(t, "nominal", quantity.Voltage, 100*volt, 240*volt)
	to.Low = tomlfile.Need(t, "low", quantity.Voltage, 80*volt, 240*volt)
	to.High = tomlfile.Need(t, "high", quantity.Voltage, 100*volt, 270*volt)
	to.Frequency = tomlfile.Need(t, "frequency", quantity.Frequency, 50*physic.Hertz, 60*physic.Hertz)
	to.Outlet = tomlfile.Need(t, "outlet", quantity.Current, physic.Ampere, 63*physic.Ampere)
	if r.heater != nil {
		r.m.Heater.Power = tomlfile.Need(r.heater, "power", quantity.Power, 20*physic.Watt, 12*physic.KiloWatt)
	}
}

func (r *reader) readBanks() {
	for _, t := range r.banks {
		r.m.Banks = append(r.m.Banks, Bank{
			Emitters:  t.NeedInteger("emitters", 1, 64),
			Emitter:   tomlfile.Need(t, "emitter", quantity.Power, 5*physic.Watt, 500*physic.Watt),
			Draw:      tomlfile.Need(t, "draw", quantity.Power, 5*physic.Watt, 4*physic.KiloWatt),
			Frequency: tomlfile.Need(t, "frequency", quantity.Frequency, 20*physic.KiloHertz, 200*physic.KiloHertz),
		})
	}
}

func (r *reader) readFans() {
	const rpm = hal.RPM
	for _, t := range r.fans {
		r.m.Fans = append(r.m.Fans, Fan{
			Nominal:  tomlfile.Need(t, "nominal", quantity.Speed, 300*rpm, 30000*rpm),
			Minimum:  tomlfile.Need(t, "minimum", quantity.Speed, 200*rpm, 30000*rpm),
			Pulses:   t.NeedInteger("pulses", 1, 8),
			Draw:     tomlfile.Need(t, "draw", quantity.Power, physic.Watt/10, 300*physic.Watt),
			Required: t.Truth("required", true),
		})
	}
}

func (r *reader) readContacts() {
	t := r.contacts
	r.m.Contacts = Contacts{
		Float: t.NeedTruth("float"), Lid: t.NeedTruth("lid"),
		Leak: t.NeedTruth("leak"), Aux: t.NeedTruth("aux"),
		HeatSwitches: t.Truth("heat_switches", false),
	}
	// The stop loop is always fitted; a file may say so.
	if !t.Truth("stop", true) {
		t.Report("stop", "stop in %s is false, the stop loop must be fitted: allowed is true", t.Label())
	}
}

func (r *reader) readLimits() {
	to, t := &r.m.Limits, r.limits
	to.Bath = tomlfile.Need(t, "bath", quantity.Temperature, celsius(30), celsius(90))
	to.Cabinet = tomlfile.Need(t, "cabinet", quantity.Temperature, celsius(30), celsius(80))
	to.CabinetCool = tomlfile.Need(t, "cabinet_cool", quantity.Temperature, celsius(20), celsius(70))
	to.ProbesApart = tomlfile.Need(t, "probes_apart", quantity.TemperatureDifference, physic.Kelvin, 15*physic.Kelvin)
	to.ProbeRate = tomlfile.Need(t, "probe_rate", quantity.TemperatureRate, physic.Kelvin/20, 5*physic.Kelvin)
	to.TachSilent = tomlfile.Need(t, "tach_silent", quantity.Speed, 0, 2000*hal.RPM)
	to.Emission = tomlfile.Need(t, "emission", quantity.Duration, time.Minute, 8*time.Hour)
	to.BankShort = tomlfile.Need(t, "bank_short", quantity.Share, 500, 950)
}

func (r *reader) readTimings() {
	const ms, s, minute = time.Millisecond, time.Second, time.Minute
	to, t := &r.m.Timings, r.timings
	need := func(key string, low, high time.Duration) time.Duration {
		return tomlfile.Need(t, key, quantity.Duration, low, high)
	}
	to.Tick = tomlfile.Or(t, "tick", quantity.Duration, defaultTick, 10*ms, s)
	to.Deadline = need("deadline", 10*ms, 5*s)
	to.Lease = need("lease", 10*ms, 10*s)
	to.Watchdog = need("watchdog", 100*ms, 30*s)
	to.Hazard = need("hazard", s, 60*s)
	to.Purge = need("purge", 2*s, 10*minute)
	to.Watch = need("watch", s, minute)
	to.Stagger = tomlfile.Or(t, "stagger", quantity.Duration, defaultStagger, 100*ms, minute)
	to.PreheatMax = need("preheat_max", minute, 12*time.Hour)
	to.HoldMax = need("hold_max", minute, 4*time.Hour)
	to.RunOnLeast = need("run_on_least", 30*s, time.Hour)
	to.RunOnMost = need("run_on_most", minute, 4*time.Hour)
}
