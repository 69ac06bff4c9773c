package plant

import (
	"time"

	"bathtender/hal"
)

// substep is the longest step that the physics takes at once.
const substep = 100 * time.Millisecond

// Plant is a tank with its cabinet at one moment. New makes one.
type Plant struct {
	// Faults is what is wrong with it, and World what is around it. Both may
	// be changed between two steps.
	Faults Faults
	World  World

	config Config
	rates  rates
	noise  noise
	time   time.Duration

	board     board
	contactor relay
	heater    relay
	relays    [hal.MaxBanks]relay

	mains   mains
	fans    fans
	bath    bath
	plate   float64 // K
	banks   [hal.MaxBanks]bank
	cabinet float64 // K
	drawn   drawn
	slow    slow
	ledger  ledger

	probes   [hal.MaxProbes]thermometer
	meter    meter
	float    floatSwitch
	sinksHot bool    // a thermal switch on a heat sink is open
	puddle   float64 // litres on the floor
}

var _ hal.Board = (*Plant)(nil)

// New returns a plant in its world, at rest, everything off. The error names the
// first number that the model cannot work with.
func New(config Config, world World) (*Plant, error) {
	if err := config.Check(); err != nil {
		return nil, err
	}
	if err := world.Check(); err != nil {
		return nil, err
	}
	p := &Plant{config: config, World: world, noise: newNoise(world.Seed)}
	p.start()
	return p, nil
}

// Config returns the plant's configuration.
func (p *Plant) Config() Config { return p.config }

// start puts everything at its first temperature.
func (p *Plant) start() {
	w := &p.World
	p.bath.start(w.Bath, w.Litres)
	p.plate, p.cabinet = w.Bath, w.Room
	for i := range p.config.Banks {
		p.banks[i] = bank{winding: w.Room, joint: w.Bath}
	}
	p.mains.volts = w.Volts
	p.refresh(0)
	p.slow.wait = slowStep
	// Only now is the level known, and with it what the probes are in.
	for i := range p.probes {
		p.probes[i].start(&p.config.Probe[i], p.noise.uniform()*w.ProbeSpread, p.surrounding(i))
	}
	p.float.closed = p.bath.level > p.config.Contact.FloatOpens
}

// Step moves the plant on by a time; nothing where it is 0 or less. Outputs act
// from the start of the step. It works in steps of 100 ms and one of what is
// left over.
func (p *Plant) Step(dt time.Duration) {
	for dt > 0 {
		h := min(dt, substep)
		p.advance(h)
		dt -= h
	}
}

// Write drives the outputs and renews their lease. It never fails: a line that
// does not follow shows in the next snapshot, as on a real board.
func (p *Plant) Write(outputs hal.Outputs) error {
	p.board.write(outputs)
	return nil
}

// Read fills in a snapshot. It never fails.
func (p *Plant) Read(s *hal.Snapshot) error {
	*s = hal.Snapshot{Time: p.time, OutputsOK: p.board.faithful() && !p.Faults.OutputsBad, RecordOK: !p.Faults.RecordBad, KeptOK: !p.Faults.KeptBad}
	for i := range p.probes {
		if p.config.Probe[i].Fitted && !p.Faults.ProbeOpen[i] && !p.Faults.ProbeShorted {
			s.Probes[i] = p.probes[i].reading
		}
	}
	for i := range p.config.Fans {
		s.Fans[i] = p.fans.reading(i, p.config.Fan[i].Pulses)
	}
	if !p.Faults.MeterSilent && p.mains.live(p.config.Supply.Volts) {
		s.Meter.Watts = p.meter.watts
		if p.config.Meter.Volts {
			s.Meter.Volts = p.meter.volts
		}
	}
	s.Contacts = p.contacts()
	return nil
}
