package setup

import (
	"bathtender/firmware/journal"
	"bathtender/firmware/machine"
	"bathtender/firmware/recipe"
	"bathtender/firmware/version"
	"bathtender/hal/trace"
)

// Journal returns what a journal carries of a machine and its recipes, in the
// order in which Supervisor was given them. A seed only goes with a synthetic
// origin.
func Journal(m *machine.Machine, recipes []*recipe.File, origin trace.Origin, seed uint64) journal.Cabinet {
	c := journal.Cabinet{
		Program: version.Version, Machine: m.Fingerprint, Fans: len(m.Fans), Banks: len(m.Banks),
		Tick: m.Interlock().Tick, Origin: origin, Seed: seed,
		Files: []journal.Copy{{Fingerprint: m.Fingerprint, Data: m.Source}},
	}
	for _, file := range recipes {
		c.Files = append(c.Files, journal.Copy{Fingerprint: file.Fingerprint, Data: file.Source})
	}
	return c
}
