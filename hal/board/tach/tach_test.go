package tach

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bathtender/hal"
)

const nominal = 6000 * hal.RPM

// train is what a tach sends: each number is the time from one pulse to the next.
type train struct {
	tach Tach
	now  time.Duration
	seq  uint32
}

func newTrain(pulses int) *train {
	tr := &train{tach: New(pulses, nominal), now: time.Hour}
	tr.tach.Feed(nil, tr.now)
	return tr
}

// wait lets time pass without an edge.
func (tr *train) wait(d time.Duration) {
	tr.now += d
	tr.tach.Feed(nil, tr.now)
}

// pulse sends an edge after the given time.
func (tr *train) pulse(after time.Duration) {
	tr.now += after
	tr.seq++
	tr.tach.Feed([]Edge{{At: tr.now, Seq: tr.seq}}, tr.now)
}

// steady sends pulses of the given frequency for the given time.
func (tr *train) steady(hertz float64, during time.Duration) {
	period := time.Duration(math.Round(float64(time.Second) / hertz))
	for end := tr.now + during; tr.now < end; {
		tr.pulse(period)
	}
}

func (tr *train) speed() hal.Reading[hal.RotationalSpeed] { return tr.tach.Speed(tr.now) }

// A 4-wire fan gives two pulses a revolution, so 1 Hz is 30 rpm (the open
// specification of 4-wire fans with pulse width modulation, from memory).
func TestSpeedsOfSteadyPulses(t *testing.T) {
	for _, test := range []struct {
		pulses int
		hertz  float64
		rpm    float64
	}{
		{2, 200, 6000}, {2, 100, 3000}, {2, 50, 1500}, {2, 86.66666, 2600}, {2, 10, 300}, {2, 5, 150},
		{1, 100, 6000}, {1, 5, 300}, {4, 200, 3000}, {8, 400, 3000}, {3, 60, 1200},
	} {
		tr := newTrain(test.pulses)
		tr.steady(test.hertz, time.Second)
		got := tr.speed()
		assert.True(t, got.Valid, "%+v", test)
		assert.Zero(t, got.Age)
		assert.InEpsilon(t, test.rpm, float64(got.Value)/float64(hal.RPM), 1e-4, "%+v", test)
	}
}

func TestAFanThatStands(t *testing.T) {
	tr := newTrain(2)
	assert.False(t, tr.speed().Valid, "not watched yet")
	tr.wait(Window / 2)
	assert.False(t, tr.speed().Valid, "not watched for long enough")
	tr.wait(Window / 2)
	assert.Equal(t, hal.Fresh(hal.RotationalSpeed(0)), tr.speed())
	tr.pulse(time.Millisecond)
	assert.Equal(t, hal.Fresh(hal.RotationalSpeed(0)), tr.speed(), "one disturbance is no speed")
}

// A rotor that is held at any speed reads 0 within half a second, and on the way
// there never more than what the silence allows.
func TestAStallIsSeen(t *testing.T) {
	for _, hertz := range []float64{10, 50, 86.7, 200} {
		tr := newTrain(2)
		tr.steady(hertz, time.Second)
		for silent := 10 * time.Millisecond; silent <= 500*time.Millisecond; silent += 10 * time.Millisecond {
			tr.wait(10 * time.Millisecond)
			got := tr.speed()
			require.True(t, got.Valid)
			// A revolution of two pulses has been under way since before the silence.
			assert.LessOrEqual(t, float64(got.Value)/float64(hal.RPM), 60/silent.Seconds())
		}
		assert.Equal(t, hal.Fresh(hal.RotationalSpeed(0)), tr.speed())
	}
}

// Poles that are spaced unevenly do not make the speed flicker, whenever one looks.
func TestUnevenPoles(t *testing.T) {
	tr := newTrain(2)
	for range 40 {
		tr.pulse(7 * time.Millisecond)
		tr.pulse(13 * time.Millisecond)
	}
	look := func() {
		got := tr.speed()
		assert.Equal(t, hal.Fresh(3000*hal.RPM), got) // a revolution in 20 ms
	}
	look()
	for range 7 {
		tr.wait(time.Millisecond)
		look()
	}
	tr.pulse(0)
	look()
	for range 13 {
		tr.wait(time.Millisecond)
		look()
	}
}

// Intervals that alternate around their mean by a share of it have just that share as
// their standard deviation. Up to a half it is a fan, if a poor one.
func TestHowUnevenAFanMayBe(t *testing.T) {
	for _, test := range []struct {
		share float64
		valid bool
	}{{0, true}, {0.3, true}, {0.45, true}, {0.55, false}, {0.8, false}} {
		tr := newTrain(2)
		for range 100 {
			tr.pulse(time.Duration(10e6 * (1 - test.share)))
			tr.pulse(time.Duration(10e6 * (1 + test.share)))
		}
		assert.Equal(t, test.valid, tr.speed().Valid, "%v", test.share)
	}
}

// The ratio over the window that still counts as a fan is worked out from the
// moments of the intervals: with a frequency that rises evenly from f to rf,
// variance/mean² = (1+r)/2 * ln(r)/(r-1) - 1, which is 1/4 at r = 6.
func TestAFanThatRunsUp(t *testing.T) {
	tr := newTrain(2)
	tr.wait(Window)
	phase, valid := 0.0, 0
	for ms := range 3000 {
		tr.wait(time.Millisecond)
		before := math.Floor(phase)
		phase += 200.0 / 3 * float64(ms) / 1000 / 1000 // 200 Hz after 3 s
		if math.Floor(phase) > before {
			tr.pulse(0)
		}
		got := tr.speed()
		truth := 200.0 / 3 * float64(ms+1) / 1000 * 30
		if got.Valid {
			valid++
			assert.LessOrEqual(t, float64(got.Value)/float64(hal.RPM), 1.05*truth+30, "after %d ms", ms)
		}
	}
	assert.Greater(t, valid, 2700, "of 3000")
}

// Pulses by chance, as from a loose wire, are a Poisson process: their intervals
// are exponential.
func TestPulsesByChanceAreNoFan(t *testing.T) {
	for _, hertz := range []float64{40, 80, 150, 300, 1000, 5000} {
		chance := rand.New(rand.NewPCG(1, uint64(hertz)))
		tr := newTrain(2)
		tr.steady(20, time.Second)
		looks, believed := 0, 0
		for range 2000 {
			tr.pulse(time.Duration(chance.ExpFloat64() / hertz * float64(time.Second)))
			looks++
			if r := tr.speed(); r.Valid && r.Value >= 600*hal.RPM {
				believed++
			}
		}
		assert.LessOrEqual(t, float64(believed)/float64(looks), 0.02, "%v Hz", hertz)
	}
}

func TestPulsesTooFastForTheFan(t *testing.T) {
	for _, times := range []float64{3.2, 4, 10, 100} {
		tr := newTrain(2)
		tr.steady(200*times, time.Second)
		assert.False(t, tr.speed().Valid, "%v times the nominal speed", times)
	}
	tr := newTrain(2)
	tr.steady(200*2.9, time.Second)
	assert.InEpsilon(t, 2.9*6000, float64(tr.speed().Value)/float64(hal.RPM), 1e-3)
}

// A single disturbance adds no speed; a line on which every pulse rings gives none.
func TestDisturbances(t *testing.T) {
	tr := newTrain(2)
	for i := range 100 {
		tr.pulse(10 * time.Millisecond)
		if i%20 == 0 {
			tr.pulse(100 * time.Microsecond)
			tr.now -= 100 * time.Microsecond
		}
		if i > 50 {
			assert.InEpsilon(t, 3000, float64(tr.speed().Value)/float64(hal.RPM), 0.01, i)
		}
	}
	tr = newTrain(2)
	tr.steady(10, time.Second)
	tr.pulse(100 * time.Microsecond)
	assert.InEpsilon(t, 300, float64(tr.speed().Value)/float64(hal.RPM), 0.01, "a slow fan, a single disturbance")
	tr = newTrain(2)
	for range 100 {
		tr.pulse(10 * time.Millisecond)
		tr.pulse(100 * time.Microsecond)
	}
	assert.False(t, tr.speed().Valid)
	tr.steady(100, Window+20*time.Millisecond)
	assert.Equal(t, hal.Fresh(3000*hal.RPM), tr.speed(), "the noise is over")
}

// Whatever edges of a steady fan are lost: the speed is the true one or none.
func TestLostEdgesNeverChangeASpeed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pulses := rapid.IntRange(1, 4).Draw(t, "pulses")
		hertz := rapid.Float64Range(8, 200).Draw(t, "hertz")
		lost := rapid.SliceOfN(rapid.IntRange(0, 12), 1, 20).Draw(t, "lost") // one in so many is delivered before a loss
		start := rapid.Uint32Range(math.MaxUint32-50, math.MaxUint32).Draw(t, "start")
		tr := newTrain(pulses)
		tr.seq = start
		period := time.Duration(float64(time.Second) / hertz)
		rpm := hertz * 60 / float64(pulses)
		gapAt := time.Duration(-1)
		for _, keep := range lost {
			for range keep {
				tr.pulse(period)
				got := tr.speed()
				if got.Valid && got.Value != 0 && math.Abs(float64(got.Value)/float64(hal.RPM)-rpm) > 0.01*rpm {
					t.Fatalf("%v rpm instead of %v", float64(got.Value)/float64(hal.RPM), rpm)
				}
				if got.Valid && gapAt >= 0 && tr.now-gapAt < period {
					t.Fatalf("a speed right after a loss")
				}
			}
			// The loss itself is only seen with the next edge that comes.
			tr.now += period
			tr.seq++
			gapAt = tr.now
			tr.pulse(period)
			if tr.tach.n > 1 {
				t.Fatalf("%d pulses are remembered across a loss", tr.tach.n)
			}
		}
	})
}

func TestALossIsNotASlowFan(t *testing.T) {
	tr := newTrain(2)
	tr.steady(100, time.Second)
	tr.seq += 30 // lost, in 30 ms
	tr.pulse(30 * time.Millisecond)
	assert.False(t, tr.speed().Valid)
	tr.steady(100, 30*time.Millisecond)
	assert.False(t, tr.speed().Valid, "too few since")
	tr.steady(100, 10*time.Millisecond)
	assert.Equal(t, hal.Fresh(3000*hal.RPM), tr.speed())
}

// Where nobody fetches edges a silence says nothing.
func TestATachThatIsNotWatched(t *testing.T) {
	tr := newTrain(2)
	tr.steady(100, time.Second)
	assert.Equal(t, hal.Aged(3000*hal.RPM, Window), tr.tach.Speed(tr.now+Window))
	assert.False(t, tr.tach.Speed(tr.now+Window+1).Valid)
	var zero Tach
	zero.Feed([]Edge{{1, 1}, {2, 2}}, time.Hour)
	assert.False(t, zero.Speed(time.Hour).Valid)
	for _, wrong := range []Tach{New(0, nominal), New(-1, nominal), New(2, 0), New(2, -nominal)} {
		assert.Equal(t, Tach{}, wrong)
	}
}

func FuzzTach(f *testing.F) {
	f.Add([]byte{2, 10, 1, 10, 1, 10, 1, 10, 1}, uint8(2))
	f.Add([]byte{0, 0, 255, 255, 3, 9}, uint8(0))
	f.Fuzz(func(t *testing.T, steps []byte, pulses uint8) {
		tach := New(int(pulses), nominal)
		now, seq := time.Duration(0), uint32(0)
		for i := 0; i+1 < len(steps); i += 2 {
			now += time.Duration(int8(steps[i])) * time.Millisecond
			seq += uint32(steps[i+1])
			tach.Feed([]Edge{{now, seq}}, now)
			r := tach.Speed(now)
			if r.Valid && (r.Value < 0 || r.Value > fastest*nominal*101/100) {
				t.Fatalf("%v", r)
			}
		}
	})
}

func TestNothingIsAllocated(t *testing.T) {
	tach := New(2, nominal)
	edges := make([]Edge, 16)
	now := time.Duration(0)
	assert.Zero(t, testing.AllocsPerRun(1000, func() {
		for i := range edges {
			now += 5 * time.Millisecond
			edges[i] = Edge{now, edges[(i+15)%16].Seq + 1}
		}
		tach.Feed(edges, now)
		tach.Speed(now)
	}))
}

func BenchmarkFeedAndSpeed(b *testing.B) {
	tach := New(2, nominal)
	edges := make([]Edge, 2)
	now, seq := time.Duration(0), uint32(0)
	b.ReportAllocs()
	for b.Loop() {
		for i := range edges {
			now += 5 * time.Millisecond
			seq++
			edges[i] = Edge{now, seq}
		}
		tach.Feed(edges, now)
		tach.Speed(now)
	}
}
