package recipe

import (
	"fmt"

	"bathtender/interlock"
)

// Sentence returns what happened in plain words. recipes are those that the
// supervisor runs with; withheld is what withheld a start that was refused.
func (e Event) Sentence(recipes []Recipe, withheld interlock.Event) string {
	name := "a recipe"
	if e.Recipe > 0 && int(e.Recipe) <= len(recipes) {
		name = `"` + recipes[e.Recipe-1].Name + `"`
	}
	switch e.Kind {
	case Started:
		return "session of " + name + " begins"
	case Began:
		return e.began(recipes)
	case Ended:
		return fmt.Sprintf("session of %s ends in %s: %s", name, e.Phase, e.Reason)
	case StartRefused:
		if e.Reason == PermitWithheld {
			return fmt.Sprintf("start of %s refused: %s", name, withheld.Standing())
		}
		return fmt.Sprintf("start of %s refused: %s", name, e.Reason)
	default:
		return "nothing happened"
	}
}

func (e Event) began(recipes []Recipe) string {
	text := e.Phase.String() + " begins"
	switch e.Phase {
	case Clean:
		if e.Recipe > 0 && int(e.Recipe) <= len(recipes) && recipes[e.Recipe-1].Sides > 1 {
			text = fmt.Sprintf("clean begins, side %d of %d", e.Side+1, recipes[e.Recipe-1].Sides)
		}
	case TurnOver:
		text = "turn-over begins: mains off, turn the parts over and press START"
	case RunOn:
		text = "run-on begins: fans until the cabinet is cool"
	case Idle:
		text = "idle: everything is off"
	}
	return text
}

// String returns the reason in plain words.
func (r Reason) String() string {
	switch r {
	case Finished:
		return "its work is done"
	case Stopped:
		return "it was asked to stop"
	case TrippedOut:
		return "a trip has taken away what it needs"
	case NotHeating:
		return "the bath cannot be brought to its temperature"
	case HeldTooLong:
		return "it has waited for too long"
	case TooFewBanks:
		return "too few banks are in service"
	case NotIdle:
		return "a session is running, or its fans still run on"
	case NoSuchRecipe:
		return "this machine has no such recipe"
	case PermitWithheld:
		return "a permit is withheld"
	default:
		return "no reason"
	}
}
