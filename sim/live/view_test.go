package live_test

import (
	"io"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/journal"
	"bathtender/firmware/machine"
	"bathtender/firmware/operate"
	"bathtender/firmware/recipe"
	"bathtender/firmware/status"
	"bathtender/hal"
	"bathtender/hal/trace"
	"bathtender/sim/fault"
	"bathtender/sim/live"
	"bathtender/sim/plant"
	"bathtender/testdata"
)

// stage is a live cabinet on a clock that never waits, which ends at a time.
type stage struct {
	*live.Board
	now     time.Duration
	until   time.Duration
	running *operate.Running
	do      func(now time.Duration)
}

func (s *stage) Now() time.Duration { return s.now }

// Wait waits a little, so that the disk keeps up; more in the first seconds, when a
// start must not be withheld.
func (s *stage) Wait(until time.Duration) {
	s.now = until
	if until < 2*time.Second {
		time.Sleep(20 * time.Millisecond)
	}
	for s.running != nil && s.running.Waiting() > 50 {
		time.Sleep(time.Millisecond)
	}
}

func (s *stage) Read(to *hal.Snapshot) error {
	if s.now >= s.until {
		return io.EOF
	}
	if s.do != nil {
		s.do(s.now)
	}
	return s.Board.Read(to)
}

// play plays the demo tank until a time and returns what there is to see then, and
// the plant.
func play(t *testing.T, until time.Duration, do func(b *live.Board, now time.Duration)) (status.View, *plant.Plant) {
	data, err := testdata.FS.ReadFile("machines/slide-tank.toml")
	require.NoError(t, err)
	m, err := machine.Parse("slide-tank.toml", data)
	require.NoError(t, err)
	data, err = testdata.FS.ReadFile("recipes/heavy.toml")
	require.NoError(t, err)
	heavy, err := recipe.Parse("heavy.toml", data)
	require.NoError(t, err)
	config := plant.FromMachine(m)
	world := config.Workshop(7)
	world.Bath = 273.15 + 48
	p, err := plant.New(config, world)
	require.NoError(t, err)
	disk := journal.Folder(t.TempDir())
	require.NoError(t, journal.Create(disk))
	s := &stage{Board: live.NewBoard(p, m.Timings.Tick), until: until}
	s.do = func(now time.Duration) { do(s.Board, now) }
	running, err := operate.Prepare(operate.Cabinet{
		Machine: m, Recipes: []*recipe.File{heavy}, Board: s, Buttons: s.Board, Clock: s,
		Wall:    func() time.Time { return time.Date(2026, 3, 2, 8, 0, 0, 0, time.UTC).Add(s.now) },
		Journal: disk, Origin: trace.Synthetic, Seed: 7,
	})
	require.NoError(t, err)
	s.running = running
	require.NoError(t, running.Run(nil))
	return running.View(), p
}

func TestTheViewTellsTheTruth(t *testing.T) {
	v, p := play(t, 30*time.Minute, func(b *live.Board, now time.Duration) {
		if now == time.Second {
			b.Press(live.StartButton, 500*time.Millisecond)
		}
	})
	truth := p.Truth()
	assert.Equal(t, "clean", v.Session.Phase)
	assert.Equal(t, "heavy", v.Session.Recipe)
	assert.Equal(t, "slide tank", v.Machine)
	assert.Equal(t, "synthetic", v.Origin)
	assert.InDelta(t, 1800, v.Uptime, 0.2)
	require.NotNil(t, v.Bath.A)
	assert.InDelta(t, truth.Bath-273.15, *v.Bath.A, 0.7, "the probes' tolerance")
	assert.Equal(t, 60.0, *v.Bath.Set)
	require.NotNil(t, v.Mains.Watts)
	assert.InDelta(t, truth.TotalWatts, *v.Mains.Watts, 40)
	require.Len(t, v.Fans, 2)
	require.NotNil(t, v.Fans[0].Speed)
	assert.InDelta(t, 2600, *v.Fans[0].Speed, 60, "nominal")
	require.Len(t, v.Banks, 6)
	for _, b := range v.Banks {
		assert.True(t, b.On)
		require.NotNil(t, b.Watts)
		assert.InDelta(t, 81, *b.Watts, 5, "as the machine file says")
		assert.False(t, b.OutOfService)
	}
	require.NotNil(t, v.Liquid.Litres)
	assert.InDelta(t, truth.Litres, *v.Liquid.Litres, *v.Liquid.Band+1)
	assert.True(t, v.Outputs.Contactor && v.Outputs.Fans && v.Outputs.Lamp)
	for _, permit := range v.Permits[1:] {
		assert.True(t, permit.Given, permit.Name)
	}
	assert.Empty(t, v.Latched)
	assert.Nil(t, v.FirstOut)
	assert.Greater(t, v.Session.Progress, 0.5)
	assert.Less(t, v.Session.Progress, 1.0)
	assert.Equal(t, uint64(18001), v.Loop.Ticks)
	assert.Zero(t, v.Loop.Late)
}

func TestTheViewTellsATrip(t *testing.T) {
	kind := fault.Find("fan stalled")
	v, _ := play(t, 28*time.Minute, func(b *live.Board, now time.Duration) {
		switch now {
		case time.Second:
			b.Press(live.StartButton, 500*time.Millisecond)
		case 26 * time.Minute:
			b.Break(fault.Fault{Kind: kind, Place: 1, Size: 1})
		}
	})
	assert.Equal(t, "run-on", v.Session.Phase)
	require.Len(t, v.Latched, 1)
	assert.Equal(t, "airflow lost, fan 2", v.Latched[0].Name)
	assert.True(t, v.Latched[0].Stands)
	assert.False(t, v.Latched[0].Lockout)
	require.NotNil(t, v.FirstOut)
	assert.InDelta(t, 118, v.FirstOut.Ago, 3)
	assert.Equal(t, "emission", v.Permits[3].Name)
	assert.False(t, v.Permits[3].Given)
	assert.Contains(t, v.Permits[3].Why[0], "airflow lost, fan 2")
	var kinds []string
	for _, e := range v.Recent {
		kinds = append(kinds, e.Kind)
	}
	assert.Contains(t, kinds, "trip")
	assert.False(t, v.Outputs.Heater)
	for _, b := range v.Banks {
		assert.False(t, b.On)
	}
}
