package campaign

import (
	"math/rand/v2"
	"time"

	"bathtender/firmware/recipe"
	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/interlock"
	"bathtender/sim/drive"
	"bathtender/sim/plant"
)

// Nuisance is what fault-free sessions have been bothered with.
type Nuisance struct {
	Sessions int `json:"sessions"`
	// Tripped is in how many something tripped, Unfinished how many did not end by
	// their work being done.
	Tripped    int `json:"tripped"`
	Unfinished int `json:"unfinished"`
	// Said are the sentences of what tripped, the first hundred.
	Said []string `json:"said,omitempty"`
}

const saidMost = 100

// healthyWorld returns a world for a session without faults: any room, mains and
// fill that a tank must work in.
func (c *Campaign) healthyWorld(seed uint64) plant.World {
	random := rand.New(rand.NewPCG(seed, 2))
	w := c.plant.Workshop(seed)
	w.Room = 273.15 + 8 + 24*random.Float64()
	w.Humidity = 0.2 + 0.6*random.Float64()
	w.AirSpeed = 0.05 + 0.3*random.Float64()
	w.Volts = c.plant.Supply.Volts * (0.93 + 0.14*random.Float64())
	w.Wander, w.Noise = 0.5+2*random.Float64(), 0.1+0.7*random.Float64()
	w.Litres *= 0.88 + 0.2*random.Float64()
	w.ProbeSpread = 0.5 * random.Float64()
	w.Bath = w.Room + (273.15+42-w.Room)*random.Float64()
	return w
}

// add sums up.
func (n *Nuisance) add(other *Nuisance) {
	n.Sessions += other.Sessions
	n.Tripped += other.Tripped
	n.Unfinished += other.Unfinished
	n.Said = append(n.Said, other.Said[:min(len(other.Said), saidMost-len(n.Said))]...)
}

// Healthy runs sessions without faults, of the seeds from 1, on so many workers,
// all processors with 0. Each that is done is told; the sum does not depend on
// the workers.
func (c *Campaign) Healthy(sessions, workers int, done func(n int)) (Nuisance, error) {
	var sum Nuisance
	err := inOrder(sessions, workers, func(i int) (Nuisance, error) {
		var one Nuisance
		err := c.healthy(uint64(i)+1, &one)
		return one, err
	}, func(one Nuisance) error {
		sum.add(&one)
		done(sum.Sessions)
		return nil
	})
	return sum, err
}

// healthy runs a session without faults, and adds what came of it.
func (c *Campaign) healthy(seed uint64, n *Nuisance) error {
	p, err := plant.New(c.plant, c.healthyWorld(seed))
	if err != nil {
		return err
	}
	s := drive.New(c.config, supervisor.Kept{}, p)
	o := owner{recipe: c.config.Recipes[0].Name}
	tripped, done := false, false
	for s.Now() < 4*time.Hour {
		request := hal.Request{}
		if s.Now() > 3*time.Second {
			request = o.request(s)
		}
		if err := s.Tick(request); err != nil {
			return err
		}
		for _, e := range s.Events {
			if e.Interlock.Kind == interlock.Tripped {
				tripped = true
				if len(n.Said) < saidMost {
					n.Said = append(n.Said, s.Supervisor.Sentence(e))
				}
			}
			done = done || e.Sequence.Kind == recipe.Ended && e.Sequence.Reason == recipe.Finished
		}
		if o.begun && s.Supervisor.Status().Phase == recipe.Idle {
			break
		}
	}
	n.Sessions++
	if tripped {
		n.Tripped++
	}
	if !done {
		n.Unfinished++
	}
	return nil
}
