package report

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// A sample is what a test fed; NaN is no reading.
type sample struct {
	at    time.Duration
	value float64
}

// drawSamples makes a history with pauses of very different lengths, so that
// some need no merging, some one, and some many at once. The lengths come from a
// seed, because rapid prefers short lists and these must be long.
func drawSamples(t *rapid.T) []sample {
	random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
	runs := rapid.SampledFrom([]int{1, 5, 50, 500}).Draw(t, "runs")
	longest := rapid.SampledFrom([]time.Duration{tick, time.Second, time.Hour}).Draw(t, "longest pause")
	var out []sample
	at := time.Duration(random.Int64N(int64(time.Hour)))
	for range runs {
		most := min(longest, []time.Duration{1, tick, time.Second, time.Hour}[random.IntN(4)])
		gap := random.IntN(4) == 0
		for range 1 + random.IntN(20) {
			at += time.Duration(random.Int64N(int64(most)))
			v := 2e6*random.Float64() - 1e6
			if gap {
				v = math.NaN()
			}
			out = append(out, sample{at, v})
		}
	}
	return out
}

func feed(samples []sample) *Track {
	k := NewTrack()
	for _, s := range samples {
		k.Add(s.at, s.value)
	}
	return k
}

// holder is the bucket that covers an instant, found from the outside.
func holder(k *Track, at time.Duration) bucket { return k.buckets[(at-k.origin)/k.width] }

// The reference is the plain list of all samples.
func TestTrackKeepsExtremesSpikesAndGaps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		samples := drawSamples(t)
		k := feed(samples)
		low, high, readings := math.Inf(1), math.Inf(-1), int64(0)
		for _, s := range samples {
			b := holder(k, s.at)
			if math.IsNaN(s.value) {
				assert.True(t, b.gap(), "the gap at %v is lost", s.at)
				continue
			}
			assert.True(t, b.count > 0 && b.min <= s.value && s.value <= b.max, "the reading %g at %v is outside its bucket", s.value, s.at)
			low, high = min(low, s.value), max(high, s.value)
			readings++
		}
		require.Equal(t, readings, k.Readings())
		require.Equal(t, int64(len(samples))-readings, k.Gaps())
		if readings == 0 {
			_, _, ok := k.Min()
			require.False(t, ok)
			return
		}
		// The extremes over the buckets, not only the running ones.
		bucketLow, bucketHigh := math.Inf(1), math.Inf(-1)
		for s := range k.stretches {
			if s.count > 0 {
				bucketLow, bucketHigh = min(bucketLow, s.min), max(bucketHigh, s.max)
			}
		}
		least, _, _ := k.Min()
		greatest, _, _ := k.Max()
		require.Equal(t, []float64{low, high, low, high}, []float64{least, greatest, bucketLow, bucketHigh})
	})
}

// Between two readings the curve is broken exactly where a reading was missing:
// merging neither closes a gap nor invents one.
func TestTrackBreaksWhereReadingsWereMissing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		samples := drawSamples(t)
		k := feed(samples)
		var last *sample
		missing := false
		want := map[[2]time.Duration]bool{} // pairs of bucket times, true where broken
		for i := range samples {
			s := &samples[i]
			if math.IsNaN(s.value) {
				missing = true
				continue
			}
			if last != nil {
				pair := [2]time.Duration{(last.at - k.origin) / k.width, (s.at - k.origin) / k.width}
				want[pair] = want[pair] || missing
			}
			last, missing = s, false
		}
		got := map[[2]time.Duration]bool{}
		var before *bucket
		from := time.Duration(0)
		missing = false
		for s := range k.stretches {
			i := (s.from - k.origin) / k.width
			if s.count == 0 {
				missing = true
				continue
			}
			if before != nil {
				got[[2]time.Duration{from, i}] = missing || before.trail || s.lead
			}
			if s.count > 1 {
				got[[2]time.Duration{i, i}] = s.mid
			}
			b := s.bucket
			before, from, missing = &b, i, false
		}
		require.Equal(t, want, got)
	})
}

// One tick among the 26 million of a month is still there at full height.
func TestTrackOfAMonthKeepsASpikeOfOneTick(t *testing.T) {
	if testing.Short() {
		t.Skip("26 million samples")
	}
	k := NewTrack()
	month, spike := 30*24*time.Hour, 17*24*time.Hour+tick
	for at := time.Duration(0); at < month; at += tick {
		v := 50.0
		if at == spike {
			v = 85
		}
		k.Add(at, v)
	}
	assert.Equal(t, 85.0, holder(k, spike).max)
	_, at, _ := k.Max()
	assert.Equal(t, spike, at)
	assert.Equal(t, trackBuckets, len(k.buckets))
	assert.GreaterOrEqual(t, k.used, trackBuckets/2)
	assert.Equal(t, int64(26_000_000-80_000), k.Readings())
}

func TestFeedingAllocatesNothing(t *testing.T) {
	k, b, p := NewTrack(), NewBars(), NewPhases()
	at := time.Duration(0)
	names := []string{"degas", "clean"}
	assert.Zero(t, testing.AllocsPerRun(50_000, func() {
		at += 7 * tick
		n := int(at / time.Minute)
		k.Add(at, float64(at%97))
		b.Set(at, n%2 == 0)
		p.Enter(at, names[n%2])
	}))
	assert.Greater(t, k.Resolution(), trackWidth, "the run must have merged buckets")
}

func TestTrackTakesOddInput(t *testing.T) {
	k := NewTrack()
	k.Add(-time.Second, 1)
	k.Add(10*time.Second, math.Inf(1))
	k.Add(5*time.Second, 3) // late: counts as 0:00:10
	k.Gap(20 * time.Second)
	from, to, ok := k.Span()
	assert.Equal(t, []any{time.Duration(0), 20 * time.Second, true}, []any{from, to, ok})
	v, at, _ := k.Last()
	assert.Equal(t, []any{3.0, 10 * time.Second, int64(2), int64(2)}, []any{v, at, k.Readings(), k.Gaps()})
	k.Add(1<<63-1, 4) // 292 years: the width doubles until it fits
	v, _, _ = k.Max()
	assert.Equal(t, 4.0, v)
	assert.Equal(t, 4.0, holder(k, 1<<63-1).max)
	assert.LessOrEqual(t, k.used, trackBuckets)
}

func TestSparklineShowsADipOfOneTick(t *testing.T) {
	k := NewTrack()
	for at := time.Duration(0); at < time.Hour; at += tick {
		v := 2600.0
		if at == 30*time.Minute {
			v = 0
		}
		if at >= 45*time.Minute && at < 50*time.Minute {
			k.Gap(at)
			continue
		}
		k.Add(at, v)
	}
	assert.Equal(t, "0 |#########_##### ####| 2600 rpm", k.Sparkline("rpm", 20, 0, 0, ASCII))
	assert.Equal(t, "no reading", NewTrack().Sparkline("rpm", 20, 0, 0, Blocks))
	assert.Equal(t, "2600 |\u2581\u2581\u2581| 2600 rpm", k.Sparkline("rpm", 3, 0, time.Minute, Blocks))
}
