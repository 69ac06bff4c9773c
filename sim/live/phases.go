package live

import (
	"slices"

	"bathtender/firmware/recipe"
	"bathtender/sim/scenario"
)

// Phases returns the names of all phases.
func Phases() []string {
	var names []string
	for p := range recipe.PhaseCount {
		names = append(names, p.String())
	}
	return names
}

// IsPhase reports whether a phase has this name.
func IsPhase(name string) bool { return slices.Contains(Phases(), name) }

// Severity returns how much an event of a kind takes away.
func Severity(kind string) scenario.Severity {
	switch kind {
	case "trip":
		return scenario.Trip
	case "hold":
		return scenario.Hold
	case "finding":
		return scenario.Found
	default:
		return scenario.Note
	}
}
