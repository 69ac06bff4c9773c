package campaign

import (
	"fmt"
	"math/rand/v2"

	"bathtender/firmware/recipe"
	"bathtender/sim/fault"
)

// Moment is when the last fault of a case comes.
type Moment uint8

// Moments: before a session, and in each phase of one.
const (
	BeforeStart Moment = iota
	InPurge
	InPreheat
	InDegas
	InClean
	InTurnOver
	InSecondClean
	InRunOn
	MomentCount
)

var momentNames = [MomentCount]string{"before", "purge", "preheat", "degas", "clean", "turn-over", "second clean", "run-on"}

// String returns the moment in words.
func (m Moment) String() string { return momentNames[m] }

// phase returns the phase that the moment lies in, and the side from 0.
func (m Moment) phase() (recipe.Phase, uint8) {
	switch m {
	case InPurge:
		return recipe.Purge, 0
	case InPreheat:
		return recipe.Preheat, 0
	case InDegas:
		return recipe.Degas, 0
	case InClean:
		return recipe.Clean, 0
	case InTurnOver:
		return recipe.TurnOver, 0
	case InSecondClean:
		return recipe.Clean, 1
	case InRunOn:
		return recipe.RunOn, 0
	default:
		return recipe.Idle, 0
	}
}

// Case is one thing that is tried: a fault at a moment, after another one that
// was there before the start, if any. The seed gives the world, the places and
// the moment within its phase.
type Case struct {
	// First is a fault that is there from before the start, -1 for none, Second
	// the one that comes at the moment. Both are places in the catalogue.
	First, Second int
	At            Moment
	Seed          uint64
}

// Key names a case for good: the names of its faults, its moment, its seed.
func (c Case) Key() string {
	first := ""
	if c.First >= 0 {
		first = fault.Catalogue[c.First].Name + " + "
	}
	return fmt.Sprintf("%s%s / %s / %d", first, fault.Catalogue[c.Second].Name, c.At, c.Seed)
}

// Singles returns every fault at every moment, for so many seeds.
func Singles(seeds int) []Case {
	var list []Case
	for seed := range seeds {
		for at := range MomentCount {
			for second := range fault.Catalogue {
				list = append(list, Case{First: -1, Second: second, At: at, Seed: uint64(seed) + 1})
			}
		}
	}
	return list
}

// Pairs returns every ordered pair of two faults: one that is there from before
// the start, and one that comes before the start too, in preheat or in clean.
func Pairs(seeds int) []Case {
	var list []Case
	for seed := range seeds {
		for _, at := range []Moment{BeforeStart, InPreheat, InClean} {
			for first := range fault.Catalogue {
				for second := range fault.Catalogue {
					if first == second || at == BeforeStart && first > second {
						continue
					}
					list = append(list, Case{First: first, Second: second, At: at, Seed: uint64(seed) + 1})
				}
			}
		}
	}
	return list
}

// chance returns the case's own source of chance, apart from the world's.
func (c Case) chance() *rand.Rand {
	return rand.New(rand.NewPCG(c.Seed, uint64(c.First+1)<<32|uint64(c.Second)<<8|uint64(c.At)))
}

// pick returns the fault of a kind at a place that the machine has.
func (c *Campaign) pick(kind int, random *rand.Rand) fault.Fault {
	k := &fault.Catalogue[kind]
	places := 1
	switch k.Of {
	case fault.AFan:
		places = len(c.machine.Fans)
	case fault.ABank:
		places = len(c.machine.Banks)
	case fault.AProbe:
		places = 3
	}
	f := fault.Fault{Kind: k, Place: random.IntN(max(places, 1)), Size: 1}
	if k.Amount != fault.NoAmount {
		f.Size = k.Usual
	}
	return f
}
