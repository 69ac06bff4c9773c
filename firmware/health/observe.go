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
	// Heater is the heater's watts at the nominal voltage.
	Heater physic.Power
	// Settle is how long after a change of load the meter shows the new one;
	// MaxAge the oldest reading that still counts.
	Settle, MaxAge time.Duration
	// Fill is the usual amount of liquid, TankHeat the heat capacity of the
	// tank itself in joules a kelvin, LitreHeat that of a litre of liquid.
	Fill      hal.Volume
	TankHeat  float64
	LitreHeat float64
}

// Input is what one tick shows.
type Input struct {
	Snapshot  *hal.Snapshot
	Commanded hal.Outputs // by the tick before
	Running   bool        // a session is under way
	Recipe    *recipe.Recipe
}

// Memory is what health remembers from tick to tick; the zero Memory knows
// nothing.
type Memory struct {
	last  time.Duration
	began bool
	banks bankSteps
	heat  heating
}

// Observe takes one more tick in and brings the estimates up to date. Between
// sessions it forgets: what was found belongs to the session it was found in.
func Observe(cfg *Config, m *Memory, in *Input, est *interlock.Estimates) {
	elapsed := in.Snapshot.Time - m.last
	if !m.began || elapsed < 0 {
		elapsed = 0
	}
	m.last, m.began = in.Snapshot.Time, true
	if !in.Running {
		m.banks, m.heat = bankSteps{}, heating{}
		*est = interlock.Estimates{}
		return
	}
	m.banks.observe(cfg, in, elapsed, est)
	m.heat.observe(cfg, in, elapsed, est)
}

// watts returns the meter's watts corrected to the nominal voltage.
func watts(cfg *Config, meter *hal.Meter) (float64, bool) {
	w, ok := meter.Watts.Within(cfg.MaxAge)
	if !ok {
		return 0, false
	}
	if !cfg.ReportsVolts {
		return float64(w) / float64(physic.Watt), true
	}
	v, ok := meter.Volts.Within(cfg.MaxAge)
	if !ok || v <= 0 {
		return 0, false
	}
	ratio := float64(cfg.Nominal) / float64(v)
	return float64(w) / float64(physic.Watt) * ratio * ratio, true
}
