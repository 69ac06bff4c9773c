// Package setup makes a supervisor from a machine file and its recipes. The
// program on the board and the simulator both use it, so that they carry the
// same rules.
package setup

import (
	"errors"
	"fmt"
	"math"

	"periph.io/x/conn/v3/physic"

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
	limits := m.Interlock()
	config := health.Config{
		Nominal:      m.Mains.Nominal,
		ReportsVolts: m.Meter.Volts,
		Standby:      limits.Power.Standby,
		FanDraw:      limits.Power.Fans,
		Heater:       m.Heater.Power,
		Banks:        limits.Power.Banks,
		Draw:         limits.Power.Bank,
		Settle:       limits.Power.Settle,
		MaxAge:       limits.Probes.MaxAge,
		Fill:         m.Volume(m.Tank.Fill),
		Minimum:      m.Volume(m.Tank.Minimum),
		Brim:         m.Volume(m.Tank.Depth),
		Length:       float64(m.Tank.Length) / float64(physic.Metre),
		Width:        float64(m.Tank.Width) / float64(physic.Metre),
		Lid:          m.Tank.Lid,
		LidSwitch:    m.Contacts.Lid,
		TankHeat:     m.TankHeat() + fittingsHeat(m),
		LitreHeat:    thermal.WaterDensity(warm) * thermal.WaterHeatCapacity(warm) / 1000,
	}
	config.Drift = health.DriftDesign{Draw: config.Draw, Resolution: m.Meter.Resolution, BankShort: m.Limits.BankShort}
	for i := range config.Banks {
		config.Emitters[i] = m.Banks[i].Emitters
	}
	return config
}

// fittingsHeat returns the heat capacity in J/K of what is bonded to the tank
// and warms with it: a heater pad of 1 W/cm2 with its steel, and the emitters'
// metal near the joint (common practice, no source; health takes it to be
// uncertain).
func fittingsHeat(m *machine.Machine) float64 {
	heat := 0.6 * float64(m.Heater.Power) / float64(physic.Watt)
	for _, bank := range m.Banks {
		heat += 30 * float64(bank.Emitters)
	}
	return heat
}
