package plant

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/thermal"
	"bathtender/hal"
)

// thermometer is a 1-Wire digital thermometer: a body that follows its
// surroundings, measured by one conversion after another.
type thermometer struct {
	body    float64 // K
	error   float64 // K that it was made with
	left    time.Duration
	period  time.Duration
	raw     int64 // sixteenths of a degree Celsius
	valid   bool
	reading hal.Reading[physic.Temperature]
	owed    float64 // share of a conversion that the bus still has to lose
}

// lost reports whether this conversion gets lost, where the bus loses a share of
// all. It draws no noise.
func (t *thermometer) lost(share float64) bool {
	if t.owed += share; !(t.owed >= 1) {
		return false
	}
	t.owed--
	return true
}

// Between two conversions the board reads the last one and starts the next, which
// takes some hundred time slots of the bus for each probe.
const readOut = 50 * time.Millisecond

// Limits and power-on value of the part, in sixteenths of a degree Celsius (data
// sheet of the 1-Wire part with family code 28h, table 1).
const (
	rawLowest  = -55 * 16
	rawHighest = 125 * 16
	rawPowerOn = 85 * 16
)

func (t *thermometer) start(c *ProbeConfig, err, surrounding float64) {
	t.body, t.error = surrounding, err
	if c.Fitted {
		t.left = conversion(c.Bits)
		t.period = t.left + readOut
	}
}

// surrounding returns the temperature around a probe. Above the liquid a bath
// probe hangs in air that the bath has warmed a little.
func (p *Plant) surrounding(i int) float64 {
	switch {
	case i == hal.Cabinet && p.Faults.ProbeInAir[i]:
		return p.World.Room
	case i == hal.Cabinet:
		return p.cabinet
	case p.inAir(i):
		return p.World.Room + float64(0.3*(p.bath.temperature-p.World.Room))
	}
	return p.bath.temperature
}

func (p *Plant) inAir(i int) bool {
	return p.Faults.ProbeInAir[i] || p.bath.level < p.config.Probe[i].Reach
}

// stepProbes moves all thermometers on.
func (p *Plant) stepProbes(step time.Duration) {
	for i := range p.probes {
		if !p.config.Probe[i].Fitted {
			continue
		}
		rate := p.rates.probeLiquid
		switch {
		case i == hal.Cabinet:
			rate = p.rates.probeCabinet
		case p.inAir(i):
			rate = p.rates.probeAir
		}
		t := &p.probes[i]
		t.body += float64((p.surrounding(i) - t.body) * rate)
		t.reading.Age += step
		t.left -= step
		if t.left <= 0 {
			p.convert(i)
		}
	}
}

// convert ends a conversion. The part's own noise is about half a step.
func (p *Plant) convert(i int) {
	t, f := &p.probes[i], &p.Faults
	noise := float64(0.03 * p.noise.bell())
	age := -t.left % t.period
	t.left = t.period - age
	if !f.ProbeFrozen[i] || !t.valid {
		celsius := t.body - thermal.ZeroCelsius + t.error + f.ProbeOffset[i] + noise
		t.raw, t.valid = sixteenths(celsius, p.config.Probe[i].Bits), true
	}
	raw := t.raw
	if f.ProbePowerOn[i] {
		raw = rawPowerOn
	}
	if t.lost(share(f.ProbeBusLoss)) {
		return // the reading before it grows old
	}
	t.reading = hal.Aged(fromSixteenths(raw), age)
}

// sixteenths returns what the part's register holds at a temperature in degrees
// Celsius: the nearest sixteenth, within the part's range, less the bits that
// its resolution leaves undefined, which the reader masks away.
func sixteenths(celsius float64, bits int) int64 {
	scaled := float64(celsius*16) + 0.5
	raw := int64(scaled)
	if float64(raw) > scaled {
		raw--
	}
	raw = min(max(raw, rawLowest), rawHighest)
	return raw &^ (1<<(12-bits) - 1)
}

// fromSixteenths returns the temperature of a register.
func fromSixteenths(raw int64) physic.Temperature {
	return physic.ZeroCelsius + physic.Temperature(raw)*(physic.Celsius/16)
}
