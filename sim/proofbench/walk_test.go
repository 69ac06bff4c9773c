package proofbench

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/journal"
	"bathtender/firmware/prooftest"
	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/interlock"
	"bathtender/sim/plant"
)

// In a healthy cabinet everything that is tried passes, and what is not tried says why.
func TestAHealthyCabinetPasses(t *testing.T) {
	r := newRig(t, nil)
	results, heard, err := r.walk(nil)
	require.NoError(t, err, heard)
	tried := map[interlock.Function]bool{}
	for _, one := range results {
		if !one.Step.ByHand() {
			assert.Equal(t, journal.ProofNotTried, one.Outcome, one.Step.Name())
			assert.Contains(t, one.Why, "not by hand: ")
			continue
		}
		tried[one.Step.Function] = true
		assert.Equal(t, journal.ProofPassed, one.Outcome, "%s: %s", one.Step.Name(), one.Sentence())
		assert.LessOrEqual(t, one.Seen, one.Allowed)
		t.Log(one.Step.Name() + ": " + one.Sentence())
	}
	assert.Len(t, tried, 12)
	assert.Contains(t, []string{"idle", "run-on"}, r.view().Session.Phase)
	assert.Empty(t, r.view().Latched)
	if t.Failed() {
		t.Log(heard)
	}
}

// What each defect must fail, and nothing else of what is tried with it.
func TestEachDefectFailsItsStep(t *testing.T) {
	double := func(f interlock.Function) func(*supervisor.Config) {
		return func(c *supervisor.Config) { c.Interlock.Delay[f] *= 2 }
	}
	for _, c := range []struct {
		name   string
		defect func(*supervisor.Config)
		step   string
		why    string
	}{
		{"leak not fitted", func(c *supervisor.Config) { c.Interlock.LeakFitted = false }, "leak", "not seen within "},
		{"lid not fitted", func(c *supervisor.Config) { c.Interlock.LidFitted = false }, "lid open", "not seen within "},
		{"float not fitted", func(c *supervisor.Config) { c.Interlock.FloatFitted = false }, "level low", "not seen within "},
		{"aux not fitted", func(c *supervisor.Config) { c.Interlock.AuxFitted = false }, "contactor disagrees", "not seen within "},
		{"probe B not fitted", func(c *supervisor.Config) { c.Interlock.Probes.Fitted[hal.BathB] = false }, "probe fault, bath probe B", "not seen within "},
		{"probes may be far apart", func(c *supervisor.Config) { c.Interlock.Probes.Apart *= 3 }, "probes disagree", "not seen within "},
		{"fan 2 not required", func(c *supervisor.Config) { c.Interlock.Fans.Required[1] = false }, "airflow lost, fan 2", "not seen within "},
		{"fan 2 not required for a start", func(c *supervisor.Config) { c.Interlock.Fans.Required[1] = false }, "airflow not proven, fan 2", "not seen within "},
		{"a standing fan may turn", func(c *supervisor.Config) { c.Interlock.Fans.Silent *= 20 }, "airflow signal stuck, fan 1", "not seen within "},
		{"heater unknown", func(c *supervisor.Config) { c.Interlock.Power.Heater = 0 }, "heater silent", "not seen within "},
		{"a meter's reading never ages", func(c *supervisor.Config) { c.Interlock.Delay[interlock.MeterFault] = time.Hour }, "meter fault", "not seen within "},
		{"leak late", double(interlock.Leak), "leak", "seen only after "},
		{"lid late", double(interlock.LidOpen), "lid open", "seen only after "},
		{"level late", double(interlock.LevelLow), "level low", "seen only after "},
		{"aux late", double(interlock.ContactorDisagrees), "contactor disagrees", "seen only after "},
		{"probe late", double(interlock.ProbeFault), "probe fault, bath probe A", "seen only after "},
		{"apart late", double(interlock.ProbesDisagree), "probes disagree", "seen only after "},
		{"meter late", double(interlock.MeterFault), "meter fault", "seen only after "},
		{"air lost late", double(interlock.AirflowLost), "airflow lost, fan 1", "seen only after "},
		{"air not proven late", double(interlock.AirflowNotProven), "airflow not proven, fan 1", "seen only after "},
		{"stuck late", double(interlock.AirflowStuck), "airflow signal stuck, fan 2", "seen only after "},
		{"heater silent late", double(interlock.HeaterSilent), "heater silent", "seen only after "},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			results, heard, err := newRig(t, c.defect).walk(only(c.step))
			require.NoError(t, err)
			require.Len(t, results, 1)
			assert.Equal(t, journal.ProofFailed, results[0].Outcome, heard)
			assert.Contains(t, results[0].Why, c.why)
		})
	}
}

// Defects of the cabinet itself: what the program commands does not come about, or
// what is done does not reach it.
func TestADefectOfTheCabinetFails(t *testing.T) {
	for _, c := range []struct {
		name   string
		welds  func(*plant.Faults) // when the step is provoked: under its load
		before func(*rig)          // long before
		step   string
		why    string
	}{
		{"contactor welds", func(f *plant.Faults) { f.ContactorWelded = true }, nil, "stop", "contactor is still on"},
		{"heater relay welds, and the contactor with it", func(f *plant.Faults) { f.HeaterWelded, f.ContactorWelded, f.AuxStuck = true, true, plant.StuckLow },
			nil, "stop", "the meter still shows"},
		{"stop loop bridged", nil, func(r *rig) { r.session.Plant.Faults.StopBridged = true }, "stop", "its signal does not reach the program"},
		{"leak sensor stuck", nil, func(r *rig) { r.session.Plant.Faults.LeakSensorStuck = true; r.hand.lazy = true }, "leak", "its signal does not reach the program"},
		{"float stuck", nil, func(r *rig) { r.hand.lazy = true }, "level low", "its signal does not reach the program"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			r := newRig(t, nil)
			r.hand = newHand(prooftest.Plan(r.scenario.Machine))
			if c.welds != nil {
				r.hand.first = func() { c.welds(&r.session.Plant.Faults) }
			}
			if c.before != nil {
				c.before(r)
			}
			results, heard, err := r.walk(only(c.step))
			require.NoError(t, err)
			require.Len(t, results, 1)
			assert.Equal(t, journal.ProofFailed, results[0].Outcome, heard)
			assert.Contains(t, results[0].Why, c.why)
		})
	}
}
