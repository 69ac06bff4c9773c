package plant

import (
	"math"
	"time"

	"bathtender/hal"
)

// A tach is counted over one second that moves on in tenths.
const (
	tachSlot  = 100 * time.Millisecond
	tachSlots = 10
)

// fans are the cabinet fans, the air that they move, and their tachs.
type fans struct {
	speed [hal.MaxFans]float64 // rpm
	flow  float64              // m3/s through the cabinet
	full  float64              // flow over that of all fans at nominal speed, 0 to 1

	phase  [hal.MaxFans]float64 // of a pulse, 0 to 1
	count  [hal.MaxFans]int64   // pulses in the present slot
	past   [hal.MaxFans][tachSlots]int64
	sum    [hal.MaxFans]int64 // of past
	shown  [hal.MaxFans]int64 // pulses per second that the tach input tells
	slot   int
	filled int
	since  time.Duration // since the slot began
}

// supply returns the fans' supply voltage over its nominal one: regulated while
// the mains is above 70 % of its nominal, and falling with it below.
func (p *Plant) supply() float64 {
	if !p.board.applied.Fans || !p.mains.live(p.config.Supply.Volts) {
		return 0
	}
	return math.Min(1, p.mains.volts/(0.7*p.config.Supply.Volts))
}

// stepFans moves the rotors, the air and the tachs on. Speed goes with the
// supply; flow goes with speed (fan laws).
func (p *Plant) stepFans(step time.Duration, h float64) {
	supply := p.supply()
	var flow, full float64
	for i := range p.config.Fans {
		c := &p.config.Fan[i]
		target := c.Speed * supply * (1 - share(p.Faults.FanSpeedLoss[i]))
		rate := p.rates.fanUp
		if target < p.fans.speed[i] {
			rate = p.rates.fanDown
		}
		if p.Faults.FanStalled[i] {
			target, rate = 0, p.rates.fanStall
		}
		p.fans.speed[i] += float64((target - p.fans.speed[i]) * rate)
		flow += float64(p.fans.speed[i] / c.Speed * c.Flow)
		full += c.Flow
		p.countPulses(i, h)
	}
	flow = float64(flow * (1 - share(p.Faults.AirInletBlocked)))
	p.fans.flow, p.fans.full = flow, 0
	if full > 0 {
		p.fans.full = flow / full
	}
	p.stepTachs(step)
}

// fanDraw returns the watts of the fans: a held rotor takes as much as a turning
// one, which its electronics limit.
func (p *Plant) fanDraw() (sum float64) {
	supply := p.supply()
	for i := range p.config.Fans {
		sum += float64(p.config.Fan[i].Draw * supply * supply)
	}
	return sum
}

// countPulses counts the pulses of one tach line.
func (p *Plant) countPulses(i int, h float64) {
	rate := p.fans.speed[i] * float64(p.config.Fan[i].Pulses) / 60
	if p.Faults.TachOpen[i] {
		rate = 0
	}
	if p.Faults.TachNoise[i] && p.mains.volts > 0 {
		rate = p.config.Supply.Frequency
	}
	phase := p.fans.phase[i] + float64(rate*h)
	whole := int64(phase)
	p.fans.phase[i] = phase - float64(whole)
	p.fans.count[i] += whole
}

// stepTachs ends a slot where its time has come.
func (p *Plant) stepTachs(step time.Duration) {
	f := &p.fans
	f.since += step
	if f.since < tachSlot {
		return
	}
	f.since -= tachSlot
	for i := range p.config.Fans {
		f.sum[i] += f.count[i] - f.past[i][f.slot]
		f.past[i][f.slot] = f.count[i]
		f.count[i] = 0
		if !p.Faults.TachStuck[i] {
			f.shown[i] = f.sum[i]
		}
	}
	f.slot = (f.slot + 1) % tachSlots
	f.filled = min(f.filled+1, tachSlots)
}

// reading returns what a tach tells: pulses in one second, hence 60 over the
// pulses per revolution rpm for each (Intel's 4-wire fan specification has 2
// pulses: 30 rpm). There is none before the first second is over.
func (f *fans) reading(i, pulses int) hal.Reading[hal.RotationalSpeed] {
	if f.filled < tachSlots {
		return hal.Reading[hal.RotationalSpeed]{}
	}
	speed := hal.RotationalSpeed(f.shown[i]) * 60 * hal.RPM / hal.RotationalSpeed(pulses)
	return hal.Aged(speed, f.since)
}

// share returns x held to 0 and 1.
func share(x float64) float64 { return math.Max(0, math.Min(1, x)) }
