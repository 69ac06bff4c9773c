package setup

import (
	"fmt"
	"slices"
	"strings"

	"bathtender/firmware/machine"
	"bathtender/firmware/presence"
	"bathtender/firmware/recipe"
	"bathtender/hal/quantity"
)

// Presence returns what the machine allows to be asked of it with these recipes,
// of which there is at least one. The error names a usual recipe that is not there.
func Presence(m *machine.Machine, recipes []*recipe.File) (presence.Rules, error) {
	rules := presence.Rules{
		Usual:         m.Control.Recipe,
		StartFromAfar: m.Control.Start == machine.BySocket, ResetFromAfar: m.Control.Reset == machine.BySocket,
		Confirm: m.Control.Confirm,
	}
	for _, file := range recipes {
		rules.Recipes = append(rules.Recipes, file.Recipe.Name)
	}
	switch {
	case rules.Usual == "" && len(rules.Recipes) > 0:
		rules.Usual = rules.Recipes[0]
	case !slices.Contains(rules.Recipes, rules.Usual):
		return rules, fmt.Errorf("recipe %s in [control] is none of those given, allowed are %s",
			quantity.Quote(rules.Usual), strings.Join(rules.Recipes, ", "))
	}
	return rules, nil
}
