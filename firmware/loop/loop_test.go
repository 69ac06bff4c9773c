package loop_test

import (
	"errors"
	"io"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/loop"
	"bathtender/firmware/recipe"
	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/interlock"
)

const tick = 100 * time.Millisecond

// rig is a board, a clock, a hand and a journal that a test holds in its hands.
type rig struct {
	now     time.Duration
	epoch   time.Duration // of the board's clock
	slow    func(n int) time.Duration
	read    func(n int, s *hal.Snapshot) error
	written []hal.Outputs
	fail    error
	asked   hal.Request
	ok      bool
	seen    []hal.Snapshot
	healthy int
	n       int
}

func (r *rig) Now() time.Duration { return r.now }
func (r *rig) Wait(until time.Duration) {
	r.now = max(r.now, until)
}

func (r *rig) Read(s *hal.Snapshot) error {
	r.n++
	if r.slow != nil {
		r.now += r.slow(r.n)
	}
	*s = hal.Snapshot{Time: r.now - r.epoch, OutputsOK: true, RecordOK: true, KeptOK: true}
	s.Contacts.StopClosed = hal.Closed
	s.Probes[hal.BathA] = hal.Fresh(physic.ZeroCelsius + 40*physic.Celsius)
	if r.read != nil {
		return r.read(r.n, s)
	}
	return nil
}

func (r *rig) Write(out hal.Outputs) error {
	r.written = append(r.written, out)
	return r.fail
}

func (r *rig) Ask(time.Duration, *supervisor.Status) hal.Request { return r.asked }
func (r *rig) Told(*supervisor.Supervisor, []supervisor.Event)   {}
func (r *rig) OK() bool                                          { return r.ok }
func (r *rig) KeptOK() bool                                      { return r.ok }
func (r *rig) Tick(_ time.Time, s *hal.Snapshot, _ hal.Request, _ hal.Outputs, _ []supervisor.Event) {
	r.seen = append(r.seen, *s)
}

func config() supervisor.Config {
	return supervisor.Config{Rules: supervisor.Rules{
		Interlock: interlock.Config{Tick: tick, Deadline: 2 * tick, Probes: interlock.ProbeConfig{MaxAge: 3 * time.Second}},
		Recipes:   []recipe.Recipe{{Name: "gentle", Clean: time.Minute, Sides: 1}},
	}}
}

func (r *rig) loop() *loop.Loop {
	return loop.New(loop.Parts{
		Board: r, Supervisor: supervisor.New(config(), supervisor.Kept{}), Record: r, Hand: r, Clock: r,
		Wall: func() time.Time { return time.Unix(0, 0).Add(r.now) }, Tick: tick, Deadline: 2 * tick,
		Healthy: func() { r.healthy++ },
	})
}

// until ends the trace after so many ticks.
func until(last int) func(int, *hal.Snapshot) error {
	return func(n int, _ *hal.Snapshot) error {
		if n > last {
			return io.EOF
		}
		return nil
	}
}

func TestItTicksOnceAPeriodAndEndsWithAllOff(t *testing.T) {
	r := &rig{ok: true, read: until(50)}
	l := r.loop()
	require.NoError(t, l.Run(nil))
	require.Len(t, r.seen, 50)
	for i := range r.seen {
		assert.Equal(t, time.Duration(i)*tick, r.seen[i].Time)
	}
	require.Len(t, r.written, 51)
	assert.Equal(t, hal.Outputs{}, r.written[50])
	assert.Equal(t, 50, r.healthy)
	var f loop.Frame
	l.Frame(&f)
	assert.Equal(t, uint64(51), f.Lateness.Ticks)
	assert.Zero(t, f.Lateness.Late)
	assert.Zero(t, f.Lateness.Skipped)
}

func TestAStopEndsIt(t *testing.T) {
	stop := make(chan struct{})
	r := &rig{ok: true}
	r.read = func(n int, _ *hal.Snapshot) error {
		if n == 10 {
			close(stop)
		}
		return nil
	}
	require.NoError(t, r.loop().Run(stop))
	require.Len(t, r.written, 11)
	assert.Equal(t, hal.Outputs{}, r.written[10])
}

// Ticks that were missed are counted and not made up for, and the late one is a
// trip.
func TestALateTickIsCounted(t *testing.T) {
	r := &rig{ok: true, read: until(20)}
	r.slow = func(n int) time.Duration {
		if n == 10 {
			return 450 * time.Millisecond
		}
		return 0
	}
	l := r.loop()
	require.NoError(t, l.Run(nil))
	var f loop.Frame
	l.Frame(&f)
	assert.Equal(t, uint64(1), f.Lateness.Late)
	assert.Equal(t, uint64(3), f.Lateness.Skipped)
	assert.Equal(t, 50*time.Millisecond, f.Lateness.Worst, "the tick after it, back on the raster")
	events, first := f.Recent()
	assert.Equal(t, uint64(1), first)
	var said []string
	for _, e := range events {
		said = append(said, f.Still.Sentence(e))
	}
	assert.Contains(t, strings.Join(said, "\n"), "the loop was late: 0.6 s from one tick to the next, over its 0.2 s deadline")
	var b strings.Builder
	f.Lateness.Print(&b)
	assert.Contains(t, b.String(), "21 ticks, 1 over the deadline, 3 skipped; woken at most 50 ms late\n")
	assert.Contains(t, b.String(), "  up to 50 ms   1\n")
}

// A board that cannot be read gives no reading at all, at the right time of its
// own clock.
func TestABoardThatCannotBeRead(t *testing.T) {
	r := &rig{ok: true, now: time.Hour, epoch: time.Hour}
	r.read = func(n int, s *hal.Snapshot) error {
		switch {
		case n > 8:
			return io.EOF
		case n > 4:
			s.Probes[hal.BathA] = hal.Fresh(physic.ZeroCelsius)
			return errors.New("gone")
		}
		return nil
	}
	l := r.loop()
	require.NoError(t, l.Run(nil))
	require.Len(t, r.seen, 8)
	for i := 4; i < 8; i++ {
		assert.Equal(t, hal.Snapshot{Time: time.Duration(i) * tick}, r.seen[i])
	}
	assert.Equal(t, 4, r.healthy, "nothing was sampled: the watchdog is not fed")
}

func TestOutputsThatCouldNotBeWrittenAreNotOK(t *testing.T) {
	r := &rig{ok: true, read: until(5), fail: errors.New("a line is stuck")}
	err := r.loop().Run(nil)
	assert.EqualError(t, err, "the outputs could not be switched off: a line is stuck")
	assert.True(t, r.seen[0].OutputsOK)
	assert.False(t, r.seen[1].OutputsOK)
	assert.Equal(t, 1, r.healthy)
}

func TestTheJournalsStateIsFilledIn(t *testing.T) {
	r := &rig{read: until(2)}
	require.NoError(t, r.loop().Run(nil))
	assert.False(t, r.seen[0].RecordOK)
	assert.False(t, r.seen[0].KeptOK)
}

// What watchers get is whole, and shares nothing with the loop that goes on. The
// race detector watches.
func TestAFrameIsACopy(t *testing.T) {
	r := &rig{ok: true}
	stop := make(chan struct{})
	l := r.loop()
	var watchers sync.WaitGroup
	for range 3 {
		watchers.Go(func() {
			var f loop.Frame
			for range 500 {
				l.Frame(&f)
				f.Still.Explain()
				assert.Equal(t, f.Still.Snapshot.Time == 0, f.Still.Snapshot.Probes[hal.BathA].Valid && f.Lateness.Ticks == 1 || f.Lateness.Ticks == 0)
			}
		})
	}
	go func() { watchers.Wait(); close(stop) }()
	require.NoError(t, l.Run(stop))
	var f, again loop.Frame
	l.Frame(&f)
	l.Frame(&again)
	assert.Equal(t, f.Still.Status(), again.Still.Status())
	assert.Equal(t, f.Still.Explain(), again.Still.Explain())
	assert.NotEmpty(t, f.Still.Explain())
}

func BenchmarkATickOfTheLoop(b *testing.B) {
	r := &rig{ok: true}
	n := 0
	r.read = func(int, *hal.Snapshot) error {
		if n++; n > b.N {
			return io.EOF
		}
		r.seen, r.written = r.seen[:0], r.written[:0]
		return nil
	}
	l := r.loop()
	b.ReportAllocs()
	b.ResetTimer()
	_ = l.Run(nil)
}
