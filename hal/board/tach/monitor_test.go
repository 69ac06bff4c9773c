package tach

import (
	"errors"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"

	"bathtender/hal"
	"bathtender/hal/board/gpiochip"
)

// queue is a modelled kernel: lines that pulse steadily, and a queue of edges that
// drops the oldest when nobody fetches them.
type queue struct {
	start  time.Time
	period [8]time.Duration // of each line; 0 for one that stands
	closed chan struct{}
	gone   error

	mu     sync.Mutex
	pulses [8]int // sent
	queued []gpiochip.Event
}

func (q *queue) now() time.Duration { return time.Since(q.start) }

// fill adds the edges that there were up to now.
func (q *queue) fill() {
	now := q.now()
	for {
		soonest, at := -1, now+1
		for i, period := range q.period {
			if next := time.Duration(q.pulses[i]+1) * period; period > 0 && next < at {
				soonest, at = i, next
			}
		}
		if soonest < 0 {
			return
		}
		q.pulses[soonest]++
		q.queued = append(q.queued, gpiochip.Event{At: at, Offset: soonest, Seq: uint32(q.pulses[soonest]), Rising: true})
		if len(q.queued) > 1024 {
			q.queued = q.queued[1:]
		}
	}
}

func (q *queue) Read(events []gpiochip.Event, wait time.Duration) (int, error) {
	for end := q.now() + wait; ; {
		select {
		case <-q.closed:
			return 0, gpiochip.ErrClosed
		default:
		}
		q.mu.Lock()
		q.fill()
		n := copy(events, q.queued)
		q.queued = q.queued[n:]
		err := q.gone
		q.mu.Unlock()
		if err != nil || n > 0 || q.now() >= end {
			return n, err
		}
		select {
		case <-q.closed:
		case <-time.After(time.Millisecond):
		}
	}
}

func (q *queue) Close() error {
	close(q.closed)
	return nil
}

// bubble runs a test in virtual time with a monitor of four fans at 200 Hz, unless
// they are set otherwise before.
func bubble(t *testing.T, body func(q *queue, m *Monitor, fans []*Monitored), before ...func(*queue)) {
	watch(t, nil, body, before...)
}

// watch is a bubble with more lines than those of the fans.
func watch(t *testing.T, more []*Monitored, body func(q *queue, m *Monitor, fans []*Monitored), before ...func(*queue)) {
	synctest.Test(t, func(*testing.T) {
		q := &queue{start: time.Now(), closed: make(chan struct{})}
		var lines []*Monitored
		for i := range 4 {
			lines = append(lines, &Monitored{Offset: i, Tach: New(2, nominal)})
		}
		for i := range q.period[:4] {
			q.period[i] = 5 * time.Millisecond // 200 Hz
		}
		for _, set := range before {
			set(q)
		}
		m := Watch(q, q.now, append(lines, more...))
		body(q, m, lines)
		assert.NoError(t, m.Close())
	})
}

func TestFourFansAt200Hz(t *testing.T) {
	bubble(t, func(q *queue, m *Monitor, fans []*Monitored) {
		time.Sleep(500 * time.Millisecond)
		for range 100 {
			time.Sleep(100 * time.Millisecond)
			for _, fan := range fans {
				r := fan.Speed(q.now())
				assert.True(t, r.Valid)
				assert.InEpsilon(t, 6000, float64(r.Value)/float64(hal.RPM), 1e-3)
				assert.LessOrEqual(t, r.Age, 50*time.Millisecond)
			}
		}
		assert.NoError(t, m.Err())
	})
}

// Edges that are slower than the monitor looks come to it while it waits.
func TestSlowFans(t *testing.T) {
	bubble(t, func(q *queue, m *Monitor, fans []*Monitored) {
		time.Sleep(time.Second)
		for range 100 {
			time.Sleep(100 * time.Millisecond)
			r := fans[0].Speed(q.now())
			assert.True(t, r.Valid)
			assert.InEpsilon(t, 600, float64(r.Value)/float64(hal.RPM), 1e-3)
		}
	}, func(q *queue) { q.period = [8]time.Duration{50 * time.Millisecond} })
}

// After a full batch there are more edges, so its end is no silence.
func TestAFullBatchEndsWithItsLastEdge(t *testing.T) {
	m := &Monitor{lines: []*Monitored{{Tach: New(2, nominal)}}}
	events := make([]gpiochip.Event, batch)
	for i := range events {
		events[i] = gpiochip.Event{At: time.Hour + time.Duration(i)*5*time.Millisecond, Seq: uint32(i + 1), Rising: true}
	}
	last := events[batch-1].At
	m.share(events, last+300*time.Millisecond)
	assert.Equal(t, hal.Aged(nominal, 300*time.Millisecond), m.lines[0].Speed(last+300*time.Millisecond))
	m.share(nil, last+300*time.Millisecond)
	assert.LessOrEqual(t, m.lines[0].Speed(last+300*time.Millisecond).Value, 200*hal.RPM, "now it is one")
}

func TestAFanThatStallsWhileTheOthersTurn(t *testing.T) {
	bubble(t, func(q *queue, m *Monitor, fans []*Monitored) {
		time.Sleep(time.Second)
		q.mu.Lock()
		q.fill()
		q.period[2] = 0
		q.mu.Unlock()
		time.Sleep(500 * time.Millisecond)
		assert.Zero(t, fans[2].Speed(q.now()).Value)
		assert.True(t, fans[2].Speed(q.now()).Valid)
		assert.InEpsilon(t, 6000, float64(fans[1].Speed(q.now()).Value)/float64(hal.RPM), 1e-3)
	})
}

// A monitor that does not get to run loses edges, which the loop must not take for
// fans that stand or turn slowly.
func TestAMonitorThatIsHeldUp(t *testing.T) {
	var hold chan struct{} // made in the bubble, or time would not go on there
	held := &Monitored{Offset: 7, Pulses: &listener{edge: func(time.Duration, bool) { <-hold }}}
	watch(t, []*Monitored{held}, func(q *queue, m *Monitor, fans []*Monitored) {
		hold = make(chan struct{})
		time.Sleep(time.Second)
		q.mu.Lock()
		q.fill()
		q.queued = append(q.queued, gpiochip.Event{At: q.now(), Offset: 7, Rising: true})
		q.mu.Unlock()
		time.Sleep(5 * time.Second) // 4000 edges, of which the kernel keeps 1024
		for _, fan := range fans {
			assert.Equal(t, hal.Reading[hal.RotationalSpeed]{}, fan.Speed(q.now()))
		}
		close(hold)
		for range 200 {
			time.Sleep(10 * time.Millisecond)
			for _, fan := range fans {
				if r := fan.Speed(q.now()); r.Valid {
					assert.InEpsilon(t, 6000, float64(r.Value)/float64(hal.RPM), 1e-3)
				}
			}
		}
		assert.True(t, fans[0].Speed(q.now()).Valid, "recovered")
	})
}

func TestAChipThatGoes(t *testing.T) {
	bubble(t, func(q *queue, m *Monitor, fans []*Monitored) {
		time.Sleep(time.Second)
		q.mu.Lock()
		q.gone = errors.New("the chip has gone")
		q.mu.Unlock()
		time.Sleep(100 * time.Millisecond)
		assert.EqualError(t, m.Err(), "the chip has gone")
		assert.Equal(t, hal.Reading[hal.RotationalSpeed]{}, fans[0].Speed(q.now()))
	})
}

// listener is a meter that listens to its line.
type listener struct {
	edge    func(at time.Duration, rising bool)
	watched time.Duration
	lost    []string
}

func (l *listener) Edge(at time.Duration, rising bool) { l.edge(at, rising) }
func (l *listener) Watched(at time.Duration)           { l.watched = at }
func (l *listener) Lost(reason string)                 { l.lost = append(l.lost, reason) }

func TestEdgesThatWereLostAreTold(t *testing.T) {
	heard := &listener{edge: func(time.Duration, bool) {}}
	l := &Monitored{Pulses: heard}
	for _, seq := range []uint32{5, 6, 7, 1<<32 - 1, 0} {
		l.tell(gpiochip.Event{Seq: seq})
	}
	assert.Equal(t, []string{"edges of its line were lost"}, heard.lost)
}

func TestEdgesAreTold(t *testing.T) {
	var told []time.Duration
	heard := &listener{edge: func(at time.Duration, rising bool) {
		assert.True(t, rising)
		told = append(told, at)
	}}
	meter := &Monitored{Offset: 5, Pulses: heard}
	watch(t, []*Monitored{meter}, func(q *queue, m *Monitor, fans []*Monitored) {
		q.mu.Lock()
		q.period[5] = 36 * time.Millisecond
		q.mu.Unlock()
		time.Sleep(360*time.Millisecond + 60*time.Millisecond)
		synctest.Wait() // until the monitor is done with telling
		assert.Less(t, q.now()-heard.watched, 60*time.Millisecond)
		assert.Empty(t, heard.lost)
		q.mu.Lock()
		q.gone = errors.New("the chip has gone")
		q.mu.Unlock()
		time.Sleep(100 * time.Millisecond)
		synctest.Wait()
		assert.Equal(t, []string{"its line cannot be read any more"}, heard.lost)
	})
	for i, at := range told {
		assert.Equal(t, time.Duration(i+1)*36*time.Millisecond, at)
	}
	assert.GreaterOrEqual(t, len(told), 10)
}
