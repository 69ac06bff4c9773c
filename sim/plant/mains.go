package plant

import (
	"math"
	"time"
)

// mains is the supply at the cabinet.
type mains struct {
	wander float64 // in standard deviations
	volts  float64
	square float64 // (volts / nominal)^2: what every load scales with
	// gone is for how long it has been away in this step, dip how much of a dip
	// is to come, dipped the dip that was last begun.
	gone, dip time.Duration
	dipped    float64
	whole     bool // it was away for the whole last step
}

// stepMains moves the mains voltage on: a slow wander, which keeps its spread,
// and noise on top.
func (p *Plant) stepMains(step time.Duration) {
	m := &p.mains
	m.wander = float64(m.wander*p.rates.wanderKeep) + float64(p.noise.bell()*p.rates.wanderKick)
	noise := float64(p.noise.bell() * p.rates.noiseScale)
	volts := p.World.Volts
	if p.Faults.MainsVolts != 0 {
		volts = p.Faults.MainsVolts
	}
	volts += float64(m.wander*p.World.Wander) + float64(noise*p.World.Noise)
	if p.Faults.MainsOut {
		volts = 0
	}
	left := 1 - float64(m.dipping(step, p.Faults.MainsDip))/float64(step)
	m.volts = float64(math.Max(volts, 0) * left)
	ratio := math.Max(volts, 0) / p.config.Supply.Volts
	m.square = float64(float64(ratio*ratio) * left)
}

// Power supplies keep up what they feed for a cycle of the mains: they are tried
// with dips of a half and a whole one (IEC 61000-4-11, from memory).
const holdUp = 20 * time.Millisecond

// dipping moves a dip on, and returns for how much of the step the mains is
// gone. What is shorter than hold-up and drop-out time relays and contactor ride
// through.
func (m *mains) dipping(step time.Duration, dip float64) time.Duration {
	if dip != m.dipped {
		m.dipped, m.dip = dip, time.Duration(max(dip, 0)*float64(time.Second))
	}
	now := min(m.dip, step)
	if !m.whole || now == 0 {
		m.gone = 0
	}
	m.dip -= now
	m.gone += now
	m.whole = now == step
	return now
}

// live reports whether there is enough voltage for power supplies and coils:
// half of the nominal (contactors must have dropped out below a fifth and may
// below three quarters, IEC 60947-4-1, from memory).
func (m *mains) live(nominal float64) bool { return m.volts > nominal/2 }

// standby returns the watts of power supplies and board.
func (p *Plant) standby() float64 {
	if !p.mains.live(p.config.Supply.Volts) {
		return 0
	}
	return p.config.Cabinet.Standby
}

// drawn is what each consumer takes, in W, as the mean over the last step.
type drawn struct {
	heater, fans, standby float64
	banks                 float64 // all of them
}

func (d *drawn) total() float64 { return d.heater + d.banks + d.fans + d.standby }
