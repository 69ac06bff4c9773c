// Package setup makes a supervisor from a machine file and its recipes. The
// program on the board and the simulator both use it, so that they carry the
// same rules.
package setup

import (
	"errors"
	"fmt"
	"math"

	"bathtender/firmware/health"
	"bathtender/firmware/machine"
	"bathtender/firmware/recipe"
	"bathtender/firmware/supervisor"
	"bathtender/firmware/thermal"
	"bathtender/hal/quantity"
)

// Supervisor returns all that a supervisor of the machine is made with. The
// error has a sentence for each recipe that the machine must not run, and for
// each name that two recipes share.
func Supervisor(m *machine.Machine, recipes []*recipe.File) (supervisor.Config, error) {
	var problems []error
	config := supervisor.Config{
		Rules:  supervisor.Rules{Interlock: m.Interlock(), Timing: m.Timing()},
		Health: Health(m),
	}
	if len(recipes) > math.MaxUint8-1 {
		problems = append(problems, fmt.Errorf("%d recipes are too many, allowed are up to %d", len(recipes), math.MaxUint8-1))
	}
	named := map[string]bool{}
	for _, file := range recipes {
		problems = append(problems, m.CheckRecipe(file))
		name := file.Recipe.Name
		if named[name] {
			problems = append(problems, file.Problem("name", "name "+quantity.Quote(name)+" is that of another recipe too, allowed is a name of its own"))
		}
		named[name] = true
		config.Recipes = append(config.Recipes, file.Recipe)
	}
	return config, errors.Join(problems...)
}

// Health returns what health knows of the machine beforehand.
func Health(m *machine.Machine) health.Config {
	const warm = thermal.ZeroCelsius + 40
	return health.Config{
		Nominal:      m.Mains.Nominal,
		ReportsVolts: m.Meter.Volts,
		Heater:       m.Heater.Power,
		Settle:       m.Interlock().Power.Settle,
		MaxAge:       m.Interlock().Probes.MaxAge,
		Fill:         m.Volume(m.Tank.Fill),
		TankHeat:     m.TankHeat(),
		LitreHeat:    thermal.WaterDensity(warm) * thermal.WaterHeatCapacity(warm) / 1000,
	}
}
