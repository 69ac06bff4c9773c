// Package hazard judges what may hurt somebody or destroy something on what is
// really the case in the plant, never on what a sensor or the supervisor says.
package hazard

import (
	"time"

	"bathtender/hal"
	"bathtender/sim/plant"
)

// Hazard is one thing that must not go on for longer than it can be tolerated.
type Hazard uint8

// The hazards.
const (
	WindingTooHot Hazard = iota
	EmittersDry
	NoAir
	PlateTooHot
	BathTooHot
	PartsTooHot
	LiveWhenOff
	LiveOverWetFloor
	EmissionLidOff
	Count
)

// Row says all there is to say about one hazard.
type Row struct {
	Name string
	// What is the case while it stands, Limit and Unit what Value is held
	// against; a hazard without a unit is there or not.
	What  string
	Limit float64
	Unit  string
	// Tolerable is for how long it may stand in one go, Why the reason for limit
	// and time.
	Tolerable time.Duration
	Why       string
	// Covered is the protection that needs no program and must be there for the
	// cases that the program cannot prevent.
	Covered string
	// value returns how much there is of it, to be held against the limit.
	value func(w *World) float64
}

// World is what is really the case at one tick.
type World struct {
	Truth *plant.Truth
	// Banks is how many banks there are; ContactorCommanded what the supervisor
	// last asked of the contactor.
	Banks              int
	ContactorCommanded bool
	// Limit is the machine's bath limit, Recipe that of the running recipe in K,
	// 0 while no session is under way.
	Limit, Recipe float64
	// Film is the depth of liquid in m that loads the emitters.
	Film float64
}

func emits(w *World) bool { return w.Truth.Emitting != 0 }

// hottestWinding returns the temperature of the hottest winding in degrees
// Celsius.
func hottestWinding(w *World) float64 {
	hottest := 0.0
	for i := range w.Banks {
		hottest = max(hottest, w.Truth.Winding[i]-273.15)
	}
	return hottest
}

// present returns 1 for what is the case.
func present(is bool) float64 {
	if is {
		return 1
	}
	return 0
}

// Table is the hazards.
var Table = [Count]Row{
	WindingTooHot: {
		Name: "winding too hot", What: "a driver's winding is over the temperature of its insulation class",
		Limit: 155, Unit: "°C", Tolerable: time.Minute,
		Why: "Class 155 of IEC 60085 is the temperature at which insulation lasts some 20,000 h (from memory); " +
			"at 10 K more it lasts half as long (Montsinger's rule), so that a minute costs minutes. It then gets hotter as long as nothing stops it.",
		Covered: "thermal switches on the drivers' heat sinks, in the contactor's coil circuit at a place that nobody bridges with the buttons' loop",
		value:   hottestWinding,
	},
	EmittersDry: {
		Name: "emitters dry", What: "emitters are driven with too little liquid over them to load them",
		Limit: 1, Tolerable: 30 * time.Second,
		Why: "A bonded joint that passes no heat into liquid warms by about 1 K/s in the model and lets go from about 80 °C on " +
			"(common practice, no source): from a bath of 50 °C that is half a minute.",
		Covered: "a second float switch in the stop loop",
		value:   func(w *World) float64 { return present(emits(w) && w.Truth.Level < w.Film) },
	},
	NoAir: {
		Name: "emission without air", What: "emitters are driven while less than a fifth of the air moves and a winding is over 135 °C",
		Limit: 1, Tolerable: time.Minute,
		Why: "Without air a winding of the model gains up to 10 K a minute; from 135 °C its class is two minutes away. " +
			"While the windings are cool, a clean without air hurts nothing yet.",
		Covered: "thermal switches on the drivers' heat sinks, in the contactor's coil circuit at a place that nobody bridges with the buttons' loop",
		value:   func(w *World) float64 { return present(emits(w) && w.Truth.AirShare < 0.2 && hottestWinding(w) > 135) },
	},
	PlateTooHot: {
		Name: "heater plate too hot", What: "the plate of the heater is hotter than its pad and its bond can stand",
		Limit: 150, Unit: "°C", Tolerable: 10 * time.Second,
		Why:     "Silicone pads are made for 200 °C, their adhesive for 150 °C (makers' data, from memory); a dry plate gains several K/s.",
		Covered: "the thermal cut-off on the heater's plate",
		value:   func(w *World) float64 { return w.Truth.Plate - 273.15 },
	},
	BathTooHot: {
		Name: "bath too hot", What: "the bath is more than 5 K over the machine's limit",
		Limit: 5, Unit: "K", Tolerable: 30 * time.Second,
		Why: "The limit is where the machine's owner says that liquid and tank are safe. At 1000 W the demo's 20 l gain 0.7 K a minute: " +
			"5 K over it says that nothing has acted for minutes.",
		Covered: "the thermal cut-off on the tank's wall",
		value:   func(w *World) float64 { return w.Truth.Bath - w.Limit },
	},
	PartsTooHot: {
		Name: "parts too hot", What: "the bath is more than 3 K over what the recipe allows, in a session",
		Limit: 3, Unit: "K", Tolerable: time.Minute,
		Why:     "What parts can stand is stated with a margin of some kelvins by whoever states it (common practice, no source).",
		Covered: "nothing but care: a recipe's limit well under what the parts can stand",
		value: func(w *World) float64 {
			if w.Recipe == 0 {
				return -1
			}
			return w.Truth.Bath - w.Recipe
		},
	},
	LiveWhenOff: {
		Name: "live when off", What: "heater or emitters take power although the contactor is commanded off",
		Limit: 1, Unit: "W", Tolerable: 2 * time.Second,
		Why:     "Somebody may be about to reach in. A contactor needs some hundredths of a second, a lease and a watchdog up to some seconds.",
		Covered: "a second contactor in series, or the plug; the lamp that shows mains behind the contactor",
		value: func(w *World) float64 {
			if w.ContactorCommanded {
				return 0
			}
			power := w.Truth.HeaterWatts
			for i := range w.Banks {
				power += w.Truth.BankWatts[i]
			}
			return power
		},
	},
	LiveOverWetFloor: {
		Name: "live over a wet floor", What: "more than a litre is on the floor while the contactor is closed",
		Limit: 1, Tolerable: 5 * time.Second,
		Why:     "A litre is a puddle of half a square metre. What is live above it is a matter of seconds, not of minutes.",
		Covered: "the residual-current device; a cabinet above the tank's floor; a leak tray",
		value: func(w *World) float64 {
			return present(w.Truth.LitresOnFloor > 1 && w.Truth.ContactorClosed)
		},
	},
	EmissionLidOff: {
		Name: "emission with the lid off", What: "emitters are driven while the lid is off",
		Limit: 1, Tolerable: 2 * time.Second,
		Why:     "Hands reach in at once, and noise reaches the ears. It takes a second to lift a lid and reach.",
		Covered: "nothing but care: no hand in the bath while the lamp is on",
		value:   func(w *World) float64 { return present(emits(w) && !w.Truth.LidOn) },
	},
}

// Monitor follows the hazards through a run. The zero Monitor has seen nothing.
type Monitor struct {
	// Worst is the most that there was of each, For how long it stood in one go
	// at most.
	Worst [Count]float64
	For   [Count]time.Duration
	seen  bool
	stood [Count]time.Duration
}

// Tick takes one tick in, which came so long after the one before.
func (m *Monitor) Tick(w *World, elapsed time.Duration) {
	for h := range Table {
		row := &Table[h]
		value := row.value(w)
		if !m.seen || value > m.Worst[h] {
			m.Worst[h] = value
		}
		if value < row.Limit || value == row.Limit && row.Unit != "" {
			m.stood[h] = 0
			continue
		}
		m.stood[h] += elapsed
		m.For[h] = max(m.For[h], m.stood[h])
	}
	m.seen = true
}

// Has reports whether the hazard stood for longer than it can be tolerated.
func (m *Monitor) Has(h Hazard) bool { return m.For[h] > Table[h].Tolerable }

// Hazards returns those that stood for too long.
func (m *Monitor) Hazards() (list []Hazard) {
	for h := range Count {
		if m.Has(h) {
			list = append(list, h)
		}
	}
	return list
}

// Safe reports whether nothing that can do harm has power: neither heater nor
// emitters.
func Safe(t *plant.Truth) bool { return !t.HeaterOn && t.Emitting == hal.Banks(0) }

// String returns the hazard's name.
func (h Hazard) String() string {
	if h >= Count {
		return "no hazard"
	}
	return Table[h].Name
}
