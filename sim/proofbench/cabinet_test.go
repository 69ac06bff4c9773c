package proofbench

import (
	"errors"
	"io"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/prooftest"
	"bathtender/firmware/status"
	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/interlock"
	"bathtender/sim/drive"
	"bathtender/sim/plant"
	"bathtender/sim/scenario"
	"bathtender/testdata"
)

// rig is the modelled cabinet with its program, seen as a walk sees it. Each view is
// one tick later.
type rig struct {
	t        testing.TB
	scenario *scenario.Scenario
	session  *drive.Session
	request  hal.Request
	recent   []supervisor.Event
	hand     *hand
	stopAt   time.Duration // the socket hangs up from then on, where it is not 0
	every    int           // ticks to a view; 0 for one
	asked    []string
}

// newRig returns a demo tank at 30 degC. The program that runs in it may be another than
// the machine file says: that is what a proof test is to find.
func newRig(t testing.TB, defect func(*supervisor.Config)) *rig {
	sc, err := scenario.LoadFrom(testdata.FS.ReadFile, "scenarios/fan-fails.toml")
	require.NoError(t, err)
	world := sc.World
	world.Bath = 273.15 + 30
	p, err := plant.New(sc.Plant, world)
	require.NoError(t, err)
	config := sc.Config
	if defect != nil {
		defect(&config)
	}
	r := &rig{t: t, scenario: sc, session: drive.New(config, supervisor.Kept{}, p)}
	for i := range p.Faults.BankDead {
		p.Faults.BankDead[i] = true // the drivers' supply is off at its isolator
	}
	for range 50 { // the probes have read by then
		require.NoError(t, r.session.Tick(hal.Request{}))
	}
	return r
}

// View implements prooftest.Watcher.
func (r *rig) View() (*status.View, error) {
	if r.stopAt != 0 && r.session.Now() >= r.stopAt {
		return nil, errors.New("the program has hung up")
	}
	for range max(r.every, 1) {
		if r.hand != nil {
			r.hand.move(r.session.Now(), &r.session.Plant.Faults)
		}
		require.NoError(r.t, r.session.Tick(r.request))
		r.request = hal.Request{} // a button is let go at once
		r.recent = append(r.recent, r.session.Events...)
	}
	return r.view(), nil
}

// Ask implements prooftest.Watcher.
func (r *rig) Ask(what, recipe string) (string, error) {
	r.asked = append(r.asked, what)
	switch what {
	case "start":
		r.request = hal.Request{Verb: hal.Start, Recipe: recipe}
	case "stop":
		r.request = hal.Request{Verb: hal.Stop}
	case "reset":
		r.request = hal.Request{Verb: hal.Reset}
	}
	return "", nil
}

func (r *rig) view() *status.View {
	s, st := &r.session.Snapshot, r.session.Supervisor.Status()
	config := r.scenario.Machine.Interlock()
	v := &status.View{Format: 1, Machine: r.scenario.Machine.Name, Uptime: s.Time.Seconds(), Recipes: []string{r.scenario.Recipe.Recipe.Name}}
	v.Session.Phase = st.Phase.String()
	v.Bath.A = shown(s.Probes[hal.BathA], config.Probes.MaxAge, physic.ZeroCelsius, physic.Celsius)
	v.Bath.B = shown(s.Probes[hal.BathB], config.Probes.MaxAge, physic.ZeroCelsius, physic.Celsius)
	v.Cabinet.Air = shown(s.Probes[hal.Cabinet], config.Probes.MaxAge, physic.ZeroCelsius, physic.Celsius)
	v.Mains.Watts = shown(s.Meter.Watts, config.Power.MaxAge, 0, physic.Watt)
	for i := range config.Power.Banks {
		v.Banks = append(v.Banks, status.Bank{Bank: i + 1, On: st.Commanded.Banks.Has(i)})
	}
	for i := range r.scenario.Machine.Fans {
		v.Fans = append(v.Fans, status.Fan{Fan: i + 1, Speed: shown(s.Fans[i], config.Fans.MaxAge, 0, hal.RPM)})
	}
	c := s.Contacts
	v.Contacts = []status.Contact{
		{Name: "stop loop", State: c.StopClosed.String()}, {Name: "float switch", State: c.LevelOK.String()},
		{Name: "lid switch", State: c.LidClosed.String()}, {Name: "leak sensor", State: c.LeakDry.String()},
		{Name: "contactor aux", State: c.ContactorAux.String()},
	}
	v.Outputs = status.Outputs{Contactor: st.Commanded.Contactor, Fans: st.Commanded.Fans, Heater: st.Commanded.Heater}
	v.Permits = []status.Permit{
		{Name: "start", Given: st.Permits.Start}, {Name: "contactor", Given: st.Permits.Contactor},
		{Name: "heater", Given: st.Permits.Heater}, {Name: "emission", Given: st.Permits.Emission},
	}
	for _, e := range r.session.Supervisor.Explain() {
		if e.Latched {
			v.Latched = append(v.Latched, status.Latch{Name: interlock.Event{Function: e.Function, Place: uint8(e.Place)}.Name()})
		}
	}
	for _, e := range r.recent {
		kind := "session"
		switch e.Interlock.Kind {
		case interlock.Tripped:
			kind = "trip"
		case interlock.Holding, interlock.Released:
			kind = "hold"
		case interlock.WasReset, interlock.ResetRefused:
			kind = "reset"
		}
		v.Recent = append(v.Recent, status.Happened{Ago: (s.Time - e.At).Seconds(), Kind: kind, Text: r.session.Supervisor.Sentence(e)})
	}
	return v
}

func shown[Q ~int64](reading hal.Reading[Q], age time.Duration, zero, unit Q) *float64 {
	value, ok := reading.Within(age)
	if !ok {
		return nil
	}
	number := float64(value-zero) / float64(unit)
	return &number
}

// walk walks through the steps that are wanted, all for none, and returns what came of
// it and what was said.
func (r *rig) walk(wanted func(*prooftest.Step) bool) ([]prooftest.Result, string, error) {
	plan := prooftest.Plan(r.scenario.Machine)
	var steps []prooftest.Step
	for _, s := range plan {
		if wanted == nil || wanted(&s) {
			steps = append(steps, s)
		}
	}
	if r.hand == nil {
		r.hand = newHand(plan)
	}
	config := r.scenario.Machine.Interlock()
	w := prooftest.Walk{
		Steps: steps, Recipe: r.scenario.Recipe.Recipe.Name, Tick: config.Tick, Idle: prooftest.IdleWatts(&config),
		Watcher: r, Talk: prooftest.NewTalk(r.t.Context(), r.hand, r.hand),
	}
	results, err := w.Run()
	return results, r.hand.heard.String(), err
}

var _ io.ReadWriter = (*hand)(nil)

func only(names ...string) func(*prooftest.Step) bool {
	return func(s *prooftest.Step) bool {
		for _, name := range names {
			if s.Name() == name {
				return true
			}
		}
		return false
	}
}
