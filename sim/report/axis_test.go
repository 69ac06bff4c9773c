package report

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestScaleStepsAreRound(t *testing.T) {
	// Common practice, no source: steps of 1, 2, 2.5 or 5 times a power of ten.
	for _, c := range []struct {
		low, high float64
		want      []string
	}{
		{20, 55, []string{"20", "30", "40", "50", "60"}},
		{0, 1500, []string{"0", "500", "1000", "1500"}},
		{-0.9, 1500, []string{"0", "500", "1000", "1500"}},
		{0, 2613, []string{"0", "1000", "2000", "3000"}},
		{-3, 3, []string{"\u22124", "\u22122", "0", "2", "4"}},
		{0, 1, []string{"0", "0.25", "0.50", "0.75", "1.00"}},
		{5, 5, []string{"4.0", "4.5", "5.0", "5.5", "6.0"}},
		{0.001, 0.0032, []string{"0.001", "0.002", "0.003", "0.004"}},
	} {
		s := newScale(c.low, c.high)
		var got []string
		for _, v := range s.ticks() {
			got = append(got, s.label(v))
		}
		assert.Equal(t, c.want, got, "%g to %g", c.low, c.high)
	}
}

func TestScaleHoldsItsDataInFewTicks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(-1e9, 1e9).Draw(t, "a")
		b := rapid.Float64Range(-1e9, 1e9).Draw(t, "b")
		a, b = min(a, b), max(a, b)
		s := newScale(a, b)
		require.True(t, s.at(a) > -0.03 && s.at(b) < 1.03, "%v", s)
		require.True(t, len(s.ticks()) >= 2 && len(s.ticks()) <= 8, "%v", s)
	})
	for _, v := range []float64{math.MaxFloat64, 1.1e300, 1e-300, math.SmallestNonzeroFloat64} {
		for _, s := range []scale{newScale(-v, v), newScale(v, v), newScale(-v, -v), newScale(0, v), newScale(v/2, v)} {
			assert.LessOrEqual(t, len(s.ticks()), 8, "%g: %v", v, s)
			assert.True(t, finite(s.at(v)) && s.high > s.low, "%g: %v", v, s)
		}
	}
}

func TestClockTicks(t *testing.T) {
	words := func(to time.Duration, most int) (out []string) {
		for _, at := range clockTicks(0, to, most) {
			out = append(out, Clock(at))
		}
		return out
	}
	assert.Equal(t, []string{"0:00:00", "0:10:00", "0:20:00", "0:30:00", "0:40:00", "0:50:00", "1:00:00", "1:10:00"}, words(70*time.Minute, 10))
	assert.Equal(t, []string{"0:00:00", "168:00:00", "336:00:00", "504:00:00", "672:00:00"}, words(30*24*time.Hour, 10))
	assert.Equal(t, []string{"0:00:00", "0:00:00.2", "0:00:00.4"}, words(500*time.Millisecond, 5))
	assert.Equal(t, []string{"0:00:00", "0:00:05", "0:00:10", "0:00:15", "0:00:20"}, words(20*time.Second, 10))
	assert.Len(t, words(10*time.Minute, 10), 6, "steps of a minute would be 11 ticks")
	assert.Equal(t, []string{"-0:00:01.5", "100:00:00"}, []string{Clock(-1500 * time.Millisecond), Clock(100 * time.Hour)})
	rapid.Check(t, func(t *rapid.T) {
		from := time.Duration(rapid.Int64Range(0, 1<<60).Draw(t, "from"))
		to := from + time.Duration(rapid.Int64Range(1, 1<<60).Draw(t, "long"))
		ticks := clockTicks(from, to, 10)
		require.LessOrEqual(t, len(ticks), 10)
		for _, at := range ticks {
			require.True(t, at >= from && at <= to)
		}
	})
}

func TestLimitFarAwayDoesNotFlattenTheCurve(t *testing.T) {
	k := NewTrack()
	k.Add(0, 20)
	k.Add(time.Minute, 50)
	p := Panel{Lines: []Line{{"bath", k}}, Limits: []Limit{{"recipe limit", 55}, {"high limit", 80}}}
	n := panel{Panel: &p, scale: p.scale()}
	assert.Equal(t, scale{20, 60, 10}, n.scale)
	assert.Equal(t, "recipe limit", limitWords(n, p.Limits[0]))
	assert.Equal(t, "\u2191 high limit", limitWords(n, p.Limits[1]))
}
