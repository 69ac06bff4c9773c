package campaign

import (
	"fmt"
	"math/rand/v2"

	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/machine"
	"bathtender/firmware/recipe"
	"bathtender/firmware/setup"
	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/sim/drive"
	"bathtender/sim/hazard"
	"bathtender/sim/plant"
)

// Campaign is a machine with a short session that has all phases.
type Campaign struct {
	machine *machine.Machine
	config  supervisor.Config
	plant   plant.Config
}

// The session of a campaign: a bath that is nearly warm, a short degas, two
// short sides.
const recipeText = `name = "all phases"
set = "45 degC"
limit = "50 degC"
degas = "20 s"
clean = "45 s"
sides = 2
pause = "10 min"
`

// longText is the longest session that a machine allows, for what needs long to
// do harm: little air, or a heater that is too weak to notice.
const longText = `name = "long"
set = "45 degC"
limit = "60 degC"
clean = "44 min"
`

// New returns a campaign on a machine.
func New(m *machine.Machine) (*Campaign, error) {
	var files []*recipe.File
	for _, text := range []string{recipeText, longText} {
		file, err := recipe.Parse("the campaign's recipe", []byte(text))
		if err != nil {
			return nil, err
		}
		files = append(files, file)
	}
	config, err := setup.Supervisor(m, files)
	if err != nil {
		return nil, fmt.Errorf("a campaign needs a machine that can run its session: %w", err)
	}
	return &Campaign{machine: m, config: config, plant: plant.FromMachine(m)}, nil
}

// world returns the world of a seed: a room, a mains and a bath within what is
// usual.
func (c *Campaign) world(seed uint64) plant.World {
	random := rand.New(rand.NewPCG(seed, 1))
	w := c.plant.Workshop(seed)
	w.Room = 273.15 + 12 + 18*random.Float64()
	w.Humidity = 0.3 + 0.4*random.Float64()
	w.Volts = c.plant.Supply.Volts * (0.96 + 0.08*random.Float64())
	w.Bath = 273.15 + 43.2 + 0.8*random.Float64()
	return w
}

// begin returns a session of a seed's world, some seconds after its start.
func (c *Campaign) begin(seed uint64) (*drive.Session, error) {
	p, err := plant.New(c.plant, c.world(seed))
	if err != nil {
		return nil, err
	}
	s := drive.New(c.config, supervisor.Kept{}, p)
	for range 20 {
		if err := s.Tick(hal.Request{}); err != nil {
			return nil, err
		}
	}
	return s, nil
}

// owner asks for what the owner of a tank would: a start, and START again at a
// turn-over.
type owner struct {
	recipe string
	begun  bool
	turned int // ticks at a turn-over
}

func (o *owner) request(s *drive.Session) hal.Request {
	start := hal.Request{Verb: hal.Start, Recipe: o.recipe}
	if !o.begun {
		o.begun = true
		return start
	}
	if s.Supervisor.Status().Phase != recipe.TurnOver {
		o.turned = 0
		return hal.Request{}
	}
	if o.turned++; o.turned == 50 { // five seconds
		return start
	}
	return hal.Request{}
}

// seen is what a hazard monitor is shown of a session.
func (c *Campaign) seen(s *drive.Session, truth *plant.Truth, w *hazard.World) {
	kelvin := float64(physic.Kelvin)
	*w = hazard.World{
		Truth: truth, Banks: len(c.machine.Banks), ContactorCommanded: s.Outputs.Contactor,
		Limit: float64(c.machine.Limits.Bath) / kelvin, Film: plant.FilmDepth / 2,
	}
	if status := s.Supervisor.Status(); status.Phase.Underway() {
		for i := range c.config.Recipes {
			if c.config.Recipes[i].Name == status.Recipe {
				w.Recipe = float64(c.config.Recipes[i].Limit) / kelvin
			}
		}
	}
}
