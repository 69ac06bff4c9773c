package health

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/recipe"
	"bathtender/hal"
	"bathtender/interlock"
)

// Config is what is known about a machine beforehand.
type Config struct {
	// Nominal is the voltage that watts are corrected to; ReportsVolts whether
	// the meter tells the present one.
	Nominal      physic.ElectricPotential
	ReportsVolts bool
	// Standby, FanDraw, Heater and Draw are watts from the mains at the nominal
	// voltage; Draw and Emitters are those of each bank.
	Standby, FanDraw, Heater physic.Power
	Banks                    int
	Draw                     [hal.MaxBanks]physic.Power
	Emitters                 [hal.MaxBanks]int
	// Settle is how long after a change of load the meter shows the new one;
	// MaxAge the oldest reading that still counts.
	Settle, MaxAge time.Duration
	// Fill is the usual amount of liquid, Minimum the least, Brim the most.
	Fill, Minimum, Brim hal.Volume
	// Length and Width are those of the surface in m.
	Length, Width float64
	// Lid says that there is a lid, LidSwitch that a switch tells of it.
	Lid, LidSwitch bool
	// Drift is how banks are judged from session to session.
	Drift DriftDesign
	// TankHeat is the heat capacity of the tank itself in J/K, LitreHeat that
	// of a litre of liquid.
	TankHeat, LitreHeat float64
}

// Input is what one tick shows.
type Input struct {
	Snapshot  *hal.Snapshot
	Commanded hal.Outputs // by the tick before
	Phase     recipe.Phase
	Recipe    *recipe.Recipe
	// ToCome is the emission that the recipe has still to give.
	ToCome time.Duration
}

// Memory is what health remembers from tick to tick; the zero Memory knows
// nothing.
type Memory struct {
	last     time.Duration
	began    bool
	banks    banks
	heating  heating
	bath     bathWatch
	forecast forecast
}

// Observe takes one more tick in, brings the estimates up to date and appends
// what it found. Between sessions it forgets: what was found belongs to the
// session it was found in.
func Observe(cfg *Config, m *Memory, in *Input, est *interlock.Estimates, events *Events) {
	elapsed := in.Snapshot.Time - m.last
	if !m.began || elapsed < 0 {
		elapsed = 0
	}
	m.last, m.began = in.Snapshot.Time, true
	if !in.Phase.Underway() {
		if m.banks != (banks{}) || m.heating.hasFrom {
			m.banks, m.heating, m.bath, m.forecast = banks{}, heating{}, bathWatch{}, forecast{}
		}
		*est = interlock.Estimates{}
		return
	}
	m.banks.observe(cfg, in, elapsed, est, events)
	if (in.Phase == recipe.Purge || in.Phase == recipe.Preheat) && in.Commanded.Banks == 0 {
		m.heating.observe(cfg, in, elapsed)
		m.heating.tell(cfg, est)
	}
	if !m.banks.alarm && !m.banks.unload { // else probes may be in air as emitters are
		m.bath.observe(cfg, in, elapsed, &m.heating, events)
	}
	m.forecast.observe(cfg, in, elapsed, &m.heating, est)
}

// watts returns the meter's watts corrected to the nominal voltage.
func watts(cfg *Config, meter *hal.Meter) (float64, bool) {
	w, ok := meter.Watts.Within(cfg.MaxAge)
	if !ok {
		return 0, false
	}
	if !cfg.ReportsVolts {
		return watt(w), true
	}
	v, ok := meter.Volts.Within(cfg.MaxAge)
	if !ok || v <= 0 {
		return 0, false
	}
	ratio := float64(cfg.Nominal) / float64(v)
	return watt(w) * ratio * ratio, true
}

// baseline returns the watts that a bank should take.
func (c *Config) baseline(bank int) float64 { return watt(c.Draw[bank]) }

// smallestEmitter returns the least watts that a single emitter takes.
func (c *Config) smallestEmitter() float64 {
	least := 0.0
	for i := range c.Banks {
		if w := c.baseline(i) / float64(max(c.Emitters[i], 1)); i == 0 || w < least {
			least = w
		}
	}
	return least
}
