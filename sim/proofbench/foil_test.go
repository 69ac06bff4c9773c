package proofbench

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/recipe"
	"bathtender/firmware/setup"
	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/sim/drive"
	"bathtender/sim/plant"
	"bathtender/sim/scenario"
	"bathtender/testdata"
)

// The foil sees every bank for ten seconds at least, in truth and not by what is
// commanded, and no heat.
func TestTheFoilTestEmitsWithEveryBank(t *testing.T) {
	sc, err := scenario.LoadFrom(testdata.FS.ReadFile, "scenarios/fan-fails.toml")
	require.NoError(t, err)
	data, err := testdata.FS.ReadFile("recipes/foil-test.toml")
	require.NoError(t, err)
	file, err := recipe.Parse("foil-test.toml", data)
	require.NoError(t, err)
	config, err := setup.Supervisor(sc.Machine, []*recipe.File{file})
	require.NoError(t, err)
	world := sc.World
	world.Bath = 273.15 + 20
	p, err := plant.New(sc.Plant, world)
	require.NoError(t, err)
	s := drive.New(config, supervisor.Kept{}, p)
	for range 50 {
		require.NoError(t, s.Tick(hal.Request{}))
	}
	require.NoError(t, s.Tick(hal.Request{Verb: hal.Start, Recipe: "foil-test"}))
	var emitted [hal.MaxBanks]time.Duration
	for end := s.Now() + 10*time.Minute; s.Now() < end && s.Supervisor.Status().Phase != recipe.Idle; {
		require.NoError(t, s.Tick(hal.Request{}))
		truth := s.Plant.Truth()
		require.False(t, truth.HeaterOn)
		for i := range emitted {
			if truth.Emitting.Has(i) {
				emitted[i] += 100 * time.Millisecond
			}
		}
	}
	assert.Equal(t, recipe.Idle, s.Supervisor.Status().Phase)
	assert.Equal(t, "no first-out", s.Supervisor.Status().FirstOut.Sentence())
	const relay = 300 * time.Millisecond // contactor and relay take their time to close
	for i := range sc.Machine.Banks {
		assert.GreaterOrEqual(t, emitted[i], 10*time.Second-relay, "bank %d", i+1)
		assert.LessOrEqual(t, emitted[i], 20*time.Second+relay, "bank %d", i+1)
	}
}
