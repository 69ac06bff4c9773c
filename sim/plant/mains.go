package plant

import "math"

// mains is the supply at the cabinet.
type mains struct {
	wander float64 // in standard deviations
	volts  float64
	square float64 // (volts / nominal)^2: what every load scales with
}

// stepMains moves the mains voltage on: a slow wander, which keeps its spread,
// and noise on top.
func (p *Plant) stepMains() {
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
	m.volts = math.Max(volts, 0)
	ratio := m.volts / p.config.Supply.Volts
	m.square = float64(ratio * ratio)
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
