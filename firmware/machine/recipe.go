package machine

import (
	"cmp"
	"errors"
	"fmt"
	"slices"

	"bathtender/firmware/recipe"
	"bathtender/firmware/tomlfile"
	"bathtender/hal/quantity"
)

// CheckRecipe reports what a recipe asks of the machine that it cannot or must
// not do. The error has one sentence a line, with the place in the recipe file;
// a recipe that was not read from a file (recipe.File{Recipe: r}) has no places.
func (m *Machine) CheckRecipe(f *recipe.File) error {
	r := &f.Recipe
	var list []error
	refuse := func(key, format string, args ...any) {
		list = append(list, f.Problem(key, fmt.Sprintf(format, args...)))
	}
	// Emission is stopped a little above the recipe's limit; the machine's is a
	// lockout and must not be met on the way there.
	if most := m.Limits.Bath - emissionAbove; r.Limit > most {
		refuse("limit", "limit %q is over what the machine's bath limit %q leaves, allowed is up to %q",
			quantity.FormatTemperature(r.Limit), quantity.FormatTemperature(m.Limits.Bath), quantity.FormatTemperature(most))
	}
	if r.Set != 0 && m.Heater.Power == 0 {
		refuse("set", "set %q needs a heater and the machine has none, allowed is a recipe without set",
			quantity.FormatTemperature(r.Set))
	}
	if r.BanksLeast > len(m.Banks) {
		refuse("banks", "banks %d is more than the machine's %d, allowed are 1 to %d", r.BanksLeast, len(m.Banks), len(m.Banks))
	}
	// Emission does not pause between the degassing and the first side.
	if run := r.Degas + r.Clean; run >= m.Limits.Emission {
		refuse("clean", "clean %q after degas %q is %s of emission without a pause, allowed is less than the machine's emission limit %q",
			quantity.FormatDuration(r.Clean), quantity.FormatDuration(r.Degas), quantity.FormatDuration(run),
			quantity.FormatDuration(m.Limits.Emission))
	}
	if r.Pause >= m.Timings.HoldMax {
		refuse("pause", "pause %q is not shorter than the machine's hold_max %q, after which the session ends: allowed is less",
			quantity.FormatDuration(r.Pause), quantity.FormatDuration(m.Timings.HoldMax))
	}
	slices.SortStableFunc(list, func(a, b error) int {
		var p, q tomlfile.Problem
		errors.As(a, &p)
		errors.As(b, &q)
		return cmp.Or(cmp.Compare(p.At.Line, q.At.Line), cmp.Compare(p.At.Column, q.At.Column))
	})
	return errors.Join(list...)
}
