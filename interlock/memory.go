package interlock

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
)

// Timer is a time in microseconds that stops at its end instead of running
// over. Half an hour fits; everything that it measures is shorter.
type Timer int32

const timerMost = Timer(1<<31 - 1)

// Duration returns the time.
func (t Timer) Duration() time.Duration { return time.Duration(t) * time.Microsecond }

// TimerOf returns a time as a Timer, cut to what one holds.
func TimerOf(d time.Duration) Timer {
	return Timer(min(max(d/time.Microsecond, 0), time.Duration(timerMost)))
}

func (t Timer) plus(d Timer) Timer {
	if t > timerMost-d {
		return timerMost
	}
	return t + d
}

// Memory is all that the protective functions remember from tick to tick:
// integers and arrays, so that it can be compared, stored and enumerated. The
// zero Memory is that of a program just started.
type Memory struct {
	// Counter is how far each slot's delay has filled.
	Counter [Slots]Timer
	// Latched are the slots that wait for a reset; Held those whose hold
	// stands.
	Latched, Held Set
	// First is the first-out: the cause of the shutdown, kept apart from those
	// that followed it until everything has been reset.
	First FirstOut
	// AirProven says that all required fans have reached their minimum speed
	// since they were commanded on.
	AirProven bool
	// Plausible is the last believable temperature of each probe, and
	// PlausibleFor the time since, for judging rates; 0 K for none yet.
	Plausible    [hal.MaxProbes]physic.Temperature
	PlausibleFor [hal.MaxProbes]Timer
	// Volts is the last mains voltage, VoltsFor how long it has not changed.
	Volts    physic.ElectricPotential
	VoltsFor Timer
	// Load is what was commanded at the tick before, LoadFor how long that
	// has stood.
	Load    Load
	LoadFor Timer
	// EmissionFor is the continuous emission so far, RestFor how long no bank
	// has been on.
	EmissionFor time.Duration
	RestFor     Timer
}

// FirstOut names the first cause of a shutdown.
type FirstOut struct {
	Slot  uint8 // slot + 1; 0 where there is none
	At    time.Duration
	Value int64
	Limit int64
}

// Load is the part of the outputs that the meter sees.
type Load struct {
	Contactor, Fans, Heater bool
	Banks                   hal.Banks
}

func loadOf(out hal.Outputs) Load {
	return Load{Contactor: out.Contactor, Fans: out.Fans, Heater: out.Heater, Banks: out.Banks}
}

// shortPause is a pause in emission that does not end it: without it a lid that
// flickers would start the longest session anew each time.
const shortPause = Timer(time.Minute / time.Microsecond)

// observe brings the memory up to the present tick, before anything is judged.
func (m *Memory) observe(cfg *Config, in *Input) {
	elapsed := in.elapsed()
	load := loadOf(in.Commanded)
	if load == m.Load {
		m.LoadFor = m.LoadFor.plus(elapsed)
	} else {
		m.Load, m.LoadFor = load, 0
	}
	if load.Banks != 0 {
		m.EmissionFor += elapsed.Duration()
		m.RestFor = 0
	} else if m.RestFor = m.RestFor.plus(elapsed); m.RestFor >= shortPause {
		m.EmissionFor = 0
	}
	m.observeAir(cfg, in)
	m.observeProbes(cfg, in, elapsed)
	if volts, ok := in.Snapshot.Meter.Volts.Within(cfg.Power.MaxAge); ok && volts != m.Volts {
		m.Volts, m.VoltsFor = volts, 0
	} else {
		m.VoltsFor = m.VoltsFor.plus(elapsed)
	}
}

func (m *Memory) observeAir(cfg *Config, in *Input) {
	if !in.Commanded.Fans {
		m.AirProven = false
		return
	}
	if m.AirProven {
		return // "airflow lost" judges from here on
	}
	proven := false
	for i := range cfg.Fans.Required {
		if !cfg.Fans.Required[i] {
			continue
		}
		speed, ok := in.Snapshot.Fans[i].Within(cfg.Fans.MaxAge)
		if !ok || speed < cfg.Fans.Minimum[i] {
			return
		}
		proven = true
	}
	m.AirProven = proven
}

func (m *Memory) observeProbes(cfg *Config, in *Input, elapsed Timer) {
	for i := range m.Plausible {
		m.PlausibleFor[i] = m.PlausibleFor[i].plus(elapsed)
		value, ok := in.Snapshot.Probes[i].Within(cfg.Probes.MaxAge)
		if ok && cfg.Probes.implausible(value, m.Plausible[i], m.PlausibleFor[i]) == believable {
			m.Plausible[i], m.PlausibleFor[i] = value, 0
		}
	}
}
