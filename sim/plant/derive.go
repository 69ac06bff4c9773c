package plant

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/machine"
	"bathtender/firmware/thermal"
	"bathtender/hal"
)

// FromMachine returns the configuration of a machine. What a machine file does
// not say is typical for such a build; each figure's reason stands beside it.
func FromMachine(m *machine.Machine) Config {
	c := Config{
		Tank:   tankOf(m),
		Banks:  min(len(m.Banks), hal.MaxBanks),
		Driver: typicalDriver,
		Fans:   min(len(m.Fans), hal.MaxFans),
		Lag:    typicalLag,
		Supply: SupplyConfig{
			Volts:     float64(m.Mains.Nominal) / float64(physic.Volt),
			Frequency: float64(m.Mains.Frequency) / float64(physic.Hertz),
		},
		// A tenth of a volt is what such meters resolve (common practice, no
		// source).
		Meter: MeterConfig{Refresh: m.Meter.Refresh, Watts: m.Meter.Resolution,
			VoltStep: physic.Volt / 10, Volts: m.Meter.Volts},
		Board: BoardConfig{Lease: m.Timings.Lease, Watchdog: m.Timings.Watchdog,
			StopInCoil: true, HeartbeatInCoil: true},
	}
	c.Heater = heaterOf(watts(m.Heater.Power), c.Tank.Minimum)
	c.Contact = contactsOf(m, c.Tank.Minimum)
	for i := range c.Banks {
		c.Bank[i] = bankOf(m.Banks[i].Emitters, watts(m.Banks[i].Draw))
	}
	for i, p := range m.Probes {
		// A probe's tip near the floor still reads when the tank is nearly empty.
		c.Probe[i] = ProbeConfig{Fitted: p.Fitted, Bits: p.Bits, Reach: min(0.010, c.Tank.Minimum/4)}
	}
	c.ventilate(m)
	return c
}

// metres and watts return a quantity as a float64 in its SI unit.
func metres(d physic.Distance) float64 { return float64(d) / float64(physic.Metre) }
func watts(p physic.Power) float64     { return float64(p) / float64(physic.Watt) }

func tankOf(m *machine.Machine) TankConfig {
	t := TankConfig{
		Length: metres(m.Tank.Length), Width: metres(m.Tank.Width), Depth: metres(m.Tank.Depth),
		Fill: metres(m.Tank.Fill), Minimum: metres(m.Tank.Minimum),
		// Stainless steel that is neither polished nor painted.
		Emissivity: 0.25,
		// A short length of 15 mm steel pipe and four feet.
		Fittings: 0.2,
		WallLoss: 1, SurfaceLoss: 1, Vapour: 1,
	}
	sheet := float64(t.Length*t.Width) + float64(2*(t.Length+t.Width)*t.Depth)
	// Stainless steel 1.4301: 7900 kg/m3, 500 J/(kg K) (EN 10088-1, from memory).
	t.Steel = sheet * metres(m.Tank.Wall) * 7900 * 500
	return t
}

// heaterOf returns a pad of 1 W/cm2, the usual most for silicone heaters bonded
// to a wet wall (common practice, no source), on the walls below the minimum.
func heaterOf(power, minimum float64) HeaterConfig {
	area := power / 1e4
	return HeaterConfig{
		Power: power,
		// 1 mm of steel and 1.5 mm of silicone: 3950 and 2050 J/(m2 K).
		Plate: area * 6000,
		// Natural convection in water at 10 to 20 K gives 400 to 800 W/(m2 K)
		// (textbook range).
		Wet: area * 600,
		// A dry plate has its edges: thin steel conducts little along itself.
		Dry: area * 30,
		// Its back has 15 mm of foam of 0.04 W/(m K), and edges.
		Air:    area * 3,
		Bottom: 0.15 * minimum, Top: 0.75 * minimum,
	}
}

var typicalDriver = DriverConfig{
	// Half-bridge drivers of this size are 80 to 90 % efficient; over half of
	// the loss is in output transformer and choke (common practice, no source).
	Loss: 0.15, Windings: 0.6,
	// A bonded emitter turns about a twelfth of its watts into heat of its own.
	// Without liquid nothing takes the sound, and nearly all of it stays there.
	Bond: 0.08, BondDry: 0.9,
	// An unloaded emitter is off its resonance and draws clearly less.
	Unloaded: 0.45,
}

// bankOf returns a bank whose windings run at 62 K above the cabinet's air with
// fans and would reach 175 K without, in time constants of about 3.5 and 10
// minutes: a driver that was built for moved air and cannot do without.
func bankOf(emitters int, draw float64) BankConfig {
	copper := draw * typicalDriver.Loss * typicalDriver.Windings
	n := float64(emitters)
	return BankConfig{
		Emitters: emitters, Draw: draw,
		Winding: copper * 3.4, Still: copper / 175, Blown: copper / 62,
		// One joint with the metal next to it holds about 30 J/K. Some 15 cm2 of
		// epoxy and wet steel pass about 1 W/K; dry steel, which must conduct
		// along itself, a seventh of that.
		Joint: n * 30, JointWet: n * 1, JointDry: n * 0.15, JointAir: n * 0.05,
	}
}

var typicalLag = LagConfig{
	// A steel-capped thermometer, stirred by the emitters, against still air.
	ProbeLiquid: 8, ProbeAir: 60, ProbeCabinet: 20,
	// Small brushless fans reach their speed in some seconds and coast longer.
	FanUp: 1.5, FanDown: 4,
}

func contactsOf(m *machine.Machine, minimum float64) ContactConfig {
	c := ContactConfig{
		Float: m.Contacts.Float, Lid: m.Contacts.Lid, Leak: m.Contacts.Leak, Aux: m.Contacts.Aux,
		// The float must open before the minimum; its reed has some hysteresis.
		FloatOpens: minimum + 0.002, FloatCloses: minimum + 0.004, Slosh: 0.0015,
		// A puddle the size of a hand.
		Puddle: 0.05,
		// Contactors of this size: 15 to 30 ms (common practice, no source).
		PickUp: 25 * time.Millisecond, DropOut: 15 * time.Millisecond,
	}
	if m.Contacts.HeatSwitches {
		// Bimetal switches of 80 °C on heat sinks whose windings are then some 50 K
		// hotter, with their usual 15 to 20 K until they close again (common
		// practice, no source).
		c.HeatOpens, c.HeatCloses = thermal.ZeroCelsius+130, thermal.ZeroCelsius+110
	}
	return c
}

// ventilate sizes the cabinet so that its fans carry the heat of all banks away
// at 15 K above the room, as a careful builder would have.
func (c *Config) ventilate(m *machine.Machine) {
	heat := watts(m.Meter.Standby)
	for i := range c.Banks {
		draw := c.Bank[i].Draw
		heat += float64(draw * c.Driver.Loss)
	}
	for i := range c.Fans {
		f := &m.Fans[i]
		c.Fan[i] = FanConfig{Speed: float64(f.Nominal) / float64(hal.RPM), Pulses: f.Pulses, Draw: watts(f.Draw)}
		heat += c.Fan[i].Draw
	}
	for i := range c.Fans {
		c.Fan[i].Flow = heat / 15 / airHeat / float64(c.Fans)
	}
	t := &c.Tank
	// Sheets 0.3 m high around the tank and under it, at 5 W/(m2 K): natural
	// convection inside and outside, one after the other.
	sheet := float64(2*(t.Length+t.Width)*0.3) + float64(t.Length*t.Width)
	c.Cabinet = CabinetConfig{Standby: watts(m.Meter.Standby), Shell: 5 * sheet,
		// 1 mm of steel: 3950 J/(m2 K); boards and heat sinks as much as 1 kg
		// of aluminium.
		Heat: float64(sheet*3950) + 900}
}

// conversion returns how long a thermometer of so many bits takes: 93.75 ms at
// 9 bits, twice as long for each bit more (data sheet of the 1-Wire part with
// family code 28h, table 2).
func conversion(bits int) time.Duration {
	return 93750 * time.Microsecond << (bits - 9)
}
