package prooftest

import (
	"time"

	"bathtender/firmware/machine"
	"bathtender/hal"
	"bathtender/interlock"
)

// Plan returns the steps for a machine: each protective function that applies to it,
// those that need no session first, then those in a session, and last what cannot
// be provoked by hand. A function of a part that is not fitted has no step.
func Plan(m *machine.Machine) []Step {
	config := m.Interlock()
	p := planner{machine: m, config: &config}
	p.resting()
	p.heating()
	p.starting()
	p.otherwise()
	return p.steps
}

type planner struct {
	machine *machine.Machine
	config  *interlock.Config
	steps   []Step
}

func (p *planner) add(s Step) {
	s.Delay = p.config.Delay[s.Function]
	p.steps = append(p.steps, s)
}

// inSession is the state of a step that is best seen with the contactor closed. A
// machine without a heater has no preheat to be tried in: it only shows the permit.
func (p *planner) inSession() State {
	if p.machine.Heater.Power == 0 {
		return Resting
	}
	return Heating
}

// required calls for each required fan, by its place from 0.
func (p *planner) required(each func(place int)) {
	for i := range min(len(p.machine.Fans), hal.MaxFans) {
		if p.config.Fans.Required[i] {
			each(i)
		}
	}
}

// refresh is from one reading of the meter to the next.
func (p *planner) refresh() time.Duration { return p.machine.Meter.Refresh }
