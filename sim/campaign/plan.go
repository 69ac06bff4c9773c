package campaign

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"

	"bathtender/firmware/version"
	"bathtender/sim/fault"
)

// Plan is what a campaign tries. The zero Plan tries nothing.
type Plan struct {
	// Singles and Pairs are for how many seeds each fault, and each pair, is
	// tried.
	Singles, Pairs int
}

// Cases returns all cases of the plan, in order.
func (p Plan) Cases() []Case { return append(Singles(p.Singles), Pairs(p.Pairs)...) }

// Shard returns the part k of n, from 1, of some cases. Every n-th case makes the
// parts equally long.
func Shard(cases []Case, k, n int) []Case {
	var part []Case
	for i := k - 1; i < len(cases); i += n {
		part = append(part, cases[i])
	}
	return part
}

// Identity names what a stored campaign is of: results of different identities
// are never mixed.
type Identity struct {
	Program   string `json:"program"`
	Machine   string `json:"machine"`
	Catalogue string `json:"catalogue"`
	Singles   int    `json:"singles"`
	Pairs     int    `json:"pairs"`
	Cases     int    `json:"cases"`
}

// Identity returns that of a plan on this machine.
func (c *Campaign) Identity(p Plan) Identity {
	sum := sha256.New()
	for i := range fault.Catalogue {
		k := &fault.Catalogue[i]
		fmt.Fprintln(sum, k.Name, k.Of, k.Amount, k.Usual, k.Onset)
	}
	fmt.Fprintln(sum, recipeText, longText, after, afterLong, momentNames)
	return Identity{
		Program: version.Version, Machine: c.machine.Fingerprint, Catalogue: hex.EncodeToString(sum.Sum(nil)[:8]),
		Singles: p.Singles, Pairs: p.Pairs, Cases: len(p.Cases()),
	}
}
