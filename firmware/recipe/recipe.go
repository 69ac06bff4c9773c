package recipe

import (
	"time"

	"periph.io/x/conn/v3/physic"
)

// MaxSides is the most sides a recipe can have; between two of them the parts
// are turned over.
const MaxSides = 4

// Recipe is what a session does, and what the parts in the bath can stand. It
// holds no pointer; the zero Recipe does nothing.
type Recipe struct {
	Name string
	// Set is the bath temperature that preheat reaches and the heater keeps;
	// 0 K where the recipe does not heat.
	Set physic.Temperature
	// Limit is the hottest that the parts may get.
	Limit physic.Temperature
	// Degas is the time of emission that drives dissolved gas out before the
	// clean; Clean the time of emission a side.
	Degas, Clean time.Duration
	// Sides is how often Clean runs, 1 to MaxSides. After each but the last,
	// emission pauses until the parts are turned over and START is pressed
	// again; Pause is how long that is expected to take.
	Sides int
	Pause time.Duration
	// ChangeEmission and ChangeDays are how much emission, and how many days, the
	// liquid may have behind it when this recipe starts; 0 for no limit.
	ChangeEmission time.Duration
	ChangeDays     int
	// BanksLeast is how many banks must be in service for the recipe to start.
	BanksLeast int
}
