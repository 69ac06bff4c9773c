package exact_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bathtender/sim/exact"
)

func TestIntervalAgainstPublishedValues(t *testing.T) {
	for _, c := range []struct {
		failures, trials int
		confidence       float64
		lower, upper     float64
		within           float64
		source           string
	}{
		{7, 50, 0.95, 0.05819170033997342, 0.26739600249700846, 1e-12,
			"SciPy reference, BinomTestResult.proportion_ci, method exact, its example"},
		{542, 3611, 0.90, 0.1403939, 0.1602214, 5e-8, "output of R's binom.test in published course notes (rpubs 226113)"},
		{9, 24, 0.95, 0.1879929, 0.5940636, 5e-8, "output of R's binom.test in a published tutorial"},
		{1, 1497, 0.90, 3.426347e-5, 3.164954e-3, 5e-10, "output of R's binom.test in a published tutorial"},
		{682, 925, 0.95, 0.7076683, 0.7654066, 5e-8, "example of R's binom.test, after Conover (1971), from memory"},
		{10, 100, 0.95, 0.0490, 0.1762, 5e-5, "usual worked value, from memory"},
		{0, 10, 0.95, 0, 0.3085, 5e-5, "usual tables of Clopper and Pearson's interval, from memory"},
		{1, 10, 0.95, 0.0025, 0.4450, 5e-5, "the same"},
		{5, 10, 0.95, 0.1871, 0.8129, 5e-5, "the same"},
		{10, 10, 0.95, 0.6915, 1, 5e-5, "the same"},
	} {
		lower, upper := exact.Interval(c.failures, c.trials, c.confidence)
		assert.InDelta(t, c.lower, lower, c.within, "%d of %d: %s", c.failures, c.trials, c.source)
		assert.InDelta(t, c.upper, upper, c.within, "%d of %d: %s", c.failures, c.trials, c.source)
	}
}

func TestRuleOfThree(t *testing.T) {
	// Hanley and Lippman-Hand, If nothing goes wrong, is everything all right?,
	// JAMA 249 (1983): with 0 of n the upper 95 % bound is close to 3/n, and
	// exactly 1 - 0.05^(1/n). The bound is a little less, by 5 % at 30 trials.
	for _, n := range []int{30, 100, 1000, 10000, exact.MaxTrials} {
		bound := exact.UpperBound(0, n, 0.95)
		assert.InEpsilon(t, 1-math.Pow(0.05, 1/float64(n)), bound, 1e-7, "%d", n)
		assert.InDelta(t, 3, bound*float64(n), 0.16, "%d", n)
		assert.Less(t, bound*float64(n), 3.0, "%d", n)
	}
	assert.InDelta(t, 0.0950, exact.UpperBound(0, 30, 0.95), 5e-5)
	assert.InDelta(t, -math.Log(0.05), exact.UpperBound(0, exact.MaxTrials, 0.95)*exact.MaxTrials, 1e-6)
}

func TestRareFailuresAgainstPoissonLimits(t *testing.T) {
	// Where failures are rare the count is Poisson. Its one-sided upper 95 %
	// limits (F. Garwood, Biometrika 28, 1936; as in usual tables, from memory).
	for failures, limit := range []float64{2.996, 4.744, 6.296, 7.754, 9.154, 10.513} {
		bound := exact.UpperBound(failures, exact.MaxTrials, 0.95)
		assert.InDelta(t, limit, bound*exact.MaxTrials, 6e-4, "%d", failures)
	}
}

// atMost returns P(X <= k) of a binomial by summing its terms: each is the one
// before it times a ratio, and the sum of all of them is 1. It shares nothing
// with the beta function.
func atMost(k, n int, p float64) float64 {
	odds := p / (1 - p)
	// Outwards from the term with the most weight, whose size does not matter.
	peak := min(max(int(float64(n)*p), 0), n)
	var below, above float64
	add := func(i int, term float64) {
		if i <= k {
			below += term
		} else {
			above += term
		}
	}
	add(peak, 1)
	for i, term := peak, 1.0; i < n && term > 1e-30; i++ {
		term *= float64(n-i) / float64(i+1) * odds
		add(i+1, term)
	}
	for i, term := peak, 1.0; i > 0 && term > 1e-30; i-- {
		term *= float64(i) / float64(n-i+1) / odds
		add(i-1, term)
	}
	return below / (below + above)
}

func TestSumOfTermsAgainstATable(t *testing.T) {
	// The oracle below needs one of its own. P(X <= 3) for n = 10, p = 0.3 is
	// 0.6496, P(X <= 5) for n = 20, p = 0.5 is 0.0207 (usual tables of the
	// cumulative binomial, from memory); P(X <= 0) is q^n, exactly.
	assert.InDelta(t, 0.6496, atMost(3, 10, 0.3), 5e-5)
	assert.InDelta(t, 0.0207, atMost(5, 20, 0.5), 5e-5)
	assert.InDelta(t, math.Pow(0.9, 7), atMost(0, 7, 0.1), 1e-15)
}

// checkTails demands that what is outside of each bound has the probability that
// was left out.
func checkTails(t require.TestingT, failures, trials int, confidence float64) {
	upper := exact.UpperBound(failures, trials, confidence)
	if failures < trials {
		require.InDelta(t, 1-confidence, atMost(failures, trials, upper), 1e-9, "%d of %d, %v", failures, trials, confidence)
	}
	low, high := exact.Interval(failures, trials, confidence)
	outside := (1 - confidence) / 2
	if failures < trials {
		require.InDelta(t, outside, atMost(failures, trials, high), 1e-9, "%d of %d, %v", failures, trials, confidence)
	}
	if failures > 0 {
		require.InDelta(t, outside, 1-atMost(failures-1, trials, low), 1e-9, "%d of %d, %v", failures, trials, confidence)
	}
}

func TestTailsAtTheBoundsAreAlpha(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		trials := rapid.IntRange(1, 20000).Draw(rt, "trials")
		failures := rapid.IntRange(0, trials).Draw(rt, "failures")
		checkTails(rt, failures, trials, rapid.Float64Range(0.01, 0.9999).Draw(rt, "confidence"))
	})
}

func TestTailsAtTheBoundsOfManyTrials(t *testing.T) {
	for _, trials := range []int{1e5, 1e6, exact.MaxTrials} {
		for _, failures := range []int{0, 1, 2, 19, 20, 100, 4321, trials / 3, trials / 2, trials - 7, trials - 1, trials} {
			checkTails(t, failures, trials, 0.95)
		}
	}
}

func TestIntervalTurnsRoundWithTheCount(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		trials := rapid.IntRange(1, 5000).Draw(rt, "trials")
		failures := rapid.IntRange(0, trials).Draw(rt, "failures")
		confidence := rapid.Float64Range(0.5, 0.9999).Draw(rt, "confidence")
		low, high := exact.Interval(failures, trials, confidence)
		other, another := exact.Interval(trials-failures, trials, confidence)
		require.InDelta(rt, low, 1-another, 1e-13)
		require.InDelta(rt, high, 1-other, 1e-13)
	})
}

func TestBoundsAreInOrder(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		trials := rapid.IntRange(1, 5000).Draw(rt, "trials")
		failures := rapid.IntRange(0, trials).Draw(rt, "failures")
		confidence := rapid.Float64Range(0.5, 0.999).Draw(rt, "confidence")
		low, high := exact.Interval(failures, trials, confidence)
		share := float64(failures) / float64(trials)
		require.True(rt, 0 <= low && low <= share && share <= high && high <= 1, "%v %v %v", low, share, high)
		// Half of what a two-sided interval leaves out is above it.
		require.InDelta(rt, exact.UpperBound(failures, trials, (1+confidence)/2), high, 1e-12)
		// More failures, more trials that went well, more confidence.
		require.GreaterOrEqual(rt, exact.UpperBound(min(failures+1, trials), trials, confidence), exact.UpperBound(failures, trials, confidence))
		require.Less(rt, exact.UpperBound(failures, trials+1, confidence), 1.0)
		require.LessOrEqual(rt, exact.UpperBound(failures, trials+1, confidence), exact.UpperBound(failures, trials, confidence))
		require.LessOrEqual(rt, exact.UpperBound(failures, trials, confidence), exact.UpperBound(failures, trials, confidence+0.0005))
	})
}

func TestIntervalCoversAtLeastAsOftenAsItSays(t *testing.T) {
	// What Clopper and Pearson built it for: whatever the true probability, the
	// interval holds it with the confidence or more.
	const trials = 40
	var low, high [trials + 1]float64
	for failures := range low {
		low[failures], high[failures] = exact.Interval(failures, trials, 0.9)
	}
	least := 1.0
	for p := 0.0005; p < 1; p += 0.0005 {
		covered := 0.0
		for failures := range low {
			if low[failures] <= p && p <= high[failures] {
				term := atMost(failures, trials, p)
				if failures > 0 {
					term -= atMost(failures-1, trials, p)
				}
				covered += term
			}
		}
		least = min(least, covered)
	}
	assert.GreaterOrEqual(t, least, 0.9)
	assert.Less(t, least, 0.92, "it is not wider than it must be")
}

func TestNothingKnownWithoutTrials(t *testing.T) {
	low, high := exact.Interval(0, 0, 0.95)
	assert.Zero(t, low)
	assert.Equal(t, 1.0, high)
	assert.Equal(t, 1.0, exact.UpperBound(0, 0, 0.95))
	assert.Equal(t, 1.0, exact.UpperBound(4, 4, 0.95))
}

func TestOutsideOfTheDomainIsNoNumber(t *testing.T) {
	for _, c := range []struct {
		failures, trials int
		confidence       float64
	}{
		{-1, 10, 0.95}, {11, 10, 0.95}, {0, -1, 0.95}, {0, exact.MaxTrials + 1, 0.95},
		{1, 10, 0}, {1, 10, 1}, {1, 10, -0.5}, {1, 10, 95}, {1, 10, math.NaN()}, {1, 10, math.Inf(1)},
	} {
		assert.True(t, math.IsNaN(exact.UpperBound(c.failures, c.trials, c.confidence)), "%v", c)
		low, high := exact.Interval(c.failures, c.trials, c.confidence)
		assert.True(t, math.IsNaN(low) && math.IsNaN(high), "%v", c)
	}
}

func BenchmarkUpperBound(b *testing.B) {
	for name, failures := range map[string]int{"few failures": 3, "half": exact.MaxTrials / 2} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				exact.UpperBound(failures, exact.MaxTrials, 0.95)
			}
		})
	}
}
