package pulsemeter

import (
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"periph.io/x/conn/v3/physic"
	"pgregory.net/rapid"

	"bathtender/hal"
)

const ms = time.Millisecond

// The arithmetic: 1 kWh is 3.6 MJ, so a pulse of 1000 a kilowatt-hour is 3600 J
// (the units program gives the same).
func TestPowerOfAPeriod(t *testing.T) {
	for _, c := range []struct {
		pulses int
		period time.Duration
		want   physic.Power
	}{
		{1000, time.Second, 3600 * physic.Watt},
		{1000, 36 * time.Second, 100 * physic.Watt},
		{1000, 3600 * ms, 1000 * physic.Watt},
		{1000, 1800 * ms, 2000 * physic.Watt},
		{800, 2250 * ms, 2000 * physic.Watt},
		{500, 7200 * ms, 1000 * physic.Watt},
		{10000, 360 * ms, 1000 * physic.Watt},
		{1000, time.Minute, 60 * physic.Watt},
		{1000, 60 * ms, 60 * physic.KiloWatt}, // the fastest pulses of 30 ms with gaps of 30 ms
		{10000, 60 * ms, 6 * physic.KiloWatt},
		{1, time.Hour, 1000 * physic.Watt},
		{PulsesMost, 1000 * time.Hour, 416_666}, // 36 J a day in nanowatts
		{7, time.Second, 514_285_714_285_714},
		{1, 0, physic.Power(3_600_000_000_000_000_000)},
	} {
		assert.Equal(t, c.want, Power(c.pulses, c.period), "%d in %v", c.pulses, c.period)
	}
}

// edges gives edges, the first of them rising, at the given milliseconds.
func edges(millis ...int) (pulses []int) {
	var f filter
	for i, at := range millis {
		if begun, pulse := f.edge(time.Duration(at)*ms, i%2 == 0); pulse {
			pulses = append(pulses, int(begun/ms))
		}
	}
	return pulses
}

// IEC 62053-31: pulses and gaps of 30 ms at least (from memory, and as the manuals
// of several meters have it).
func TestWhatIsAPulse(t *testing.T) {
	for _, c := range []struct {
		what  string
		edges []int
		want  []int
	}{
		{"a pulse", []int{100, 130}, []int{100}},
		{"too short", []int{100, 129}, nil},
		{"two", []int{100, 130, 160, 190}, []int{100, 160}},
		{"a gap too short is no gap", []int{100, 130, 159, 200}, []int{100}},
		{"a contact that bounces at both ends", []int{100, 101, 103, 130, 132, 133}, []int{100}},
		{"a spike", []int{100, 101, 500, 530}, []int{500}},
		{"two spikes are no pulse", []int{100, 101, 129, 131}, nil},
		{"a break in the middle", []int{100, 120, 122, 140}, []int{100}},
		{"a long one", []int{100, 900, 1000, 1800}, []int{100, 1000}},
		{"hum of 50 Hz without an end", []int{0, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100, 110, 120, 130}, []int{0}},
	} {
		assert.Equal(t, c.want, edges(c.edges...), c.what)
	}
	var f filter
	_, pulse := f.edge(100*ms, false)
	assert.False(t, pulse, "an edge down alone")
	f.edge(200*ms, true)
	f.edge(250*ms, true) // the edge down between them was lost
	_, pulse = f.edge(290*ms, false)
	assert.False(t, pulse, "whether there was a gap before it is unknown")
	f.edge(320*ms, true)
	begun, pulse := f.edge(350*ms, false)
	assert.True(t, pulse)
	assert.Equal(t, 320*ms, begun)
	f.edge(400*ms, true)
	f.edge(390*ms, false) // an edge from the past
	_, pulse = f.edge(440*ms, false)
	assert.True(t, pulse)
}

func newMeter(t testing.TB, told *[]string) *Meter {
	m, err := New(Config{Pulses: 1000, Quiet: 10 * physic.Watt, Log: func(s string) { *told = append(*told, s) }})
	require.NoError(t, err)
	return m
}

// pulse gives a pulse of 40 ms, and says that the line is watched.
func (m *Meter) pulse(at time.Duration) {
	m.Edge(at, true)
	m.Edge(at+40*ms, false)
	m.Watched(at + 40*ms)
}

func TestWattsOfPulses(t *testing.T) {
	var told []string
	m := newMeter(t, &told)
	assert.Equal(t, hal.Meter{}, m.Read(0), "nobody watches the line")
	m.Watched(0)
	m.pulse(1 * time.Second)
	assert.Equal(t, hal.Meter{}, m.Read(1040*ms), "one pulse tells nothing")
	m.pulse(2 * time.Second)
	assert.Equal(t, hal.Meter{Watts: hal.Fresh(3600 * physic.Watt)}, m.Read(2040*ms))
	m.pulse(38 * time.Second)
	assert.Equal(t, hal.Meter{Watts: hal.Fresh(100 * physic.Watt)}, m.Read(38040*ms))
	assert.Equal(t, []string{"the meter works: it gives pulses"}, told)
	// Its age is that of the last look at the line.
	assert.Equal(t, hal.Meter{Watts: hal.Aged(100*physic.Watt, 500*ms)}, m.Read(38540*ms))
}

// A load that goes off makes no more pulses; the reading falls by itself.
func TestSilenceBoundsTheWatts(t *testing.T) {
	var told []string
	m := newMeter(t, &told)
	m.Watched(0)
	m.pulse(1 * time.Second)
	m.pulse(2 * time.Second)
	for after, want := range map[time.Duration]physic.Power{
		500 * ms: 3600 * physic.Watt, time.Second: 3600 * physic.Watt, 2 * time.Second: 1800 * physic.Watt,
		10 * time.Second: 360 * physic.Watt, time.Minute: 60 * physic.Watt, time.Hour: physic.Watt,
	} {
		now := 2*time.Second + after
		m.Watched(now)
		assert.Equal(t, hal.Meter{Watts: hal.Fresh(want)}, m.Read(now), "after %v", after)
	}
}

// A cabinet that takes little gives its first two pulses after many minutes. Its
// silence tells that it takes little.
func TestAQuietStart(t *testing.T) {
	var told []string
	m := newMeter(t, &told)
	m.Watched(time.Second)
	m.Watched(360 * time.Second)
	assert.False(t, m.Read(360*time.Second).Watts.Valid, "it may be 10.03 W")
	m.Watched(361 * time.Second)
	assert.Equal(t, hal.Meter{Watts: hal.Fresh(10 * physic.Watt)}, m.Read(361*time.Second))
	// Nobody knows what a line did that could not be read.
	m.Lost("its line cannot be read")
	assert.Equal(t, hal.Meter{}, m.Read(362*time.Second))
	m.Watched(1000 * time.Second)
	assert.Equal(t, hal.Meter{}, m.Read(1000*time.Second))
	m.Watched(1360 * time.Second)
	assert.Equal(t, hal.Meter{Watts: hal.Fresh(10 * physic.Watt)}, m.Read(1360*time.Second))
}

// A line that cannot be read is not a quiet one.
func TestALineThatIsLost(t *testing.T) {
	var told []string
	m := newMeter(t, &told)
	m.Watched(0)
	m.pulse(1 * time.Second)
	m.pulse(2 * time.Second)
	m.Lost("its line cannot be read")
	assert.Equal(t, hal.Meter{}, m.Read(2*time.Second))
	m.Watched(10 * time.Second)
	assert.Equal(t, hal.Meter{}, m.Read(10*time.Second))
	m.pulse(11 * time.Second)
	assert.Equal(t, hal.Meter{}, m.Read(11*time.Second), "the one before was not seen, or was another")
	for i := range 3 {
		m.pulse(time.Duration(12+i) * time.Second)
		assert.Equal(t, 3600*physic.Watt, m.Read(13*time.Second).Watts.Value)
	}
	assert.Equal(t, []string{"the meter works: it gives pulses", "the meter gives no reading: its line cannot be read", "the meter works: it gives pulses"}, told)
}

// Whatever the edges: what is read is never more than one pulse in the time since
// the last edges allows, and never more than pulses of 60 ms make.
func TestNeverMoreThanThePulsesAllow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, err := New(Config{Pulses: rapid.IntRange(1, PulsesMost).Draw(t, "pulses"), Quiet: physic.Watt})
		require.NoError(t, err)
		var at, begun time.Duration
		m.Watched(0)
		for range rapid.IntRange(1, 60).Draw(t, "edges") {
			at += time.Duration(rapid.IntRange(0, 100_000).Draw(t, "after us")) * time.Microsecond
			rising := rapid.Bool().Draw(t, "rising")
			if rising {
				begun = at
			}
			m.Edge(at, rising)
			m.Watched(at)
			now := at + time.Duration(rapid.IntRange(0, 5000).Draw(t, "later ms"))*ms
			r := m.Read(now).Watts
			require.True(t, r.Value >= 0 && r.Value <= Power(m.config.Pulses, leastPulse+leastGap), "%v", r)
			if silent := now - begun; r.Valid && silent > 0 {
				require.LessOrEqual(t, r.Value, Power(m.config.Pulses, silent))
			}
		}
	})
}

// The loop reads while another goroutine gives edges.
func TestReadingBesideEdges(t *testing.T) {
	var told []string
	m := newMeter(t, &told)
	var edges sync.WaitGroup
	edges.Go(func() {
		m.Watched(0)
		for i := range 20_000 {
			m.pulse(time.Duration(i) * time.Second)
		}
	})
	for range 20_000 {
		if r := m.Read(time.Hour * 10).Watts; r.Valid {
			assert.LessOrEqual(t, r.Value, 3600*physic.Watt)
		}
	}
	edges.Wait()
	assert.Equal(t, 3600*physic.Watt, m.Read(20_000*time.Second).Watts.Value)
}

func TestWrongPulses(t *testing.T) {
	for _, n := range []int{0, -1, PulsesMost + 1} {
		_, err := New(Config{Pulses: n})
		assert.ErrorContains(t, err, "pulses per kilowatt-hour is none, allowed are 1 to 100000")
	}
}

func TestAnEdgeAllocatesNothing(t *testing.T) {
	var told []string
	m := newMeter(t, &told)
	at := time.Duration(0)
	assert.Zero(t, testing.AllocsPerRun(100, func() { at += time.Second; m.pulse(at); m.Read(at) })-0)
}

func BenchmarkPulse(b *testing.B) {
	var told []string
	m := newMeter(b, &told)
	at := time.Duration(0)
	b.ReportAllocs()
	for b.Loop() {
		at += time.Second
		m.pulse(at)
		m.Read(at)
	}
}
