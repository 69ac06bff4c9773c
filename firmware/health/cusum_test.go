package health

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// row is one line of a published table, in the unit of the chart.
type row struct {
	x            float64
	upper, lower float64
}

// runTable puts the rows in and compares both sums after each of them, in units
// of which so many make 1. It returns the first observation that signals above.
func runTable(t *testing.T, chart Chart, begin Cusum, target, units float64, rows []row) (first int, last Cusum) {
	t.Helper()
	c := begin
	for i, r := range rows {
		c.Step(chart, int64(math.Round((r.x-target)*units)))
		assert.Equal(t, int64(math.Round(r.upper*units)), c.Upper, "upper sum after observation %d", i+1)
		assert.Equal(t, int64(math.Round(r.lower*units)), c.Lower, "lower sum after observation %d", i+1)
		if upper, lower := c.Signals(chart); upper && first == 0 {
			first, last = i+1, c
		} else {
			assert.False(t, lower, "nothing falls in this table")
		}
	}
	return first, last
}

// The worked example of the NIST/SEMATECH e-Handbook of Statistical Methods,
// section 6.3.2.3. The Handbook prints two decimals; the rest was recomputed.
func TestCusumAgainstNIST(t *testing.T) {
	first, last := runTable(t, Chart{Allowance: 3175, Interval: 41959}, Cusum{}, 325, 10000, []row{
		{324.925, 0, 0}, {324.675, 0, 0.0075}, {324.725, 0, 0}, {324.350, 0, 0.3325}, {325.350, 0.0325, 0},
		{325.225, 0, 0}, {324.125, 0, 0.5575}, {324.525, 0, 0.7150}, {325.225, 0, 0.1725}, {324.600, 0, 0.2550},
		{324.625, 0, 0.3125}, {325.150, 0, 0}, {328.325, 3.0075, 0}, {327.250, 4.9400, 0}, {327.825, 7.4475, 0},
		{328.500, 10.6300, 0}, {326.675, 11.9875, 0}, {327.775, 14.4450, 0}, {326.875, 16.0025, 0}, {328.350, 19.0350, 0},
	})
	assert.Equal(t, 14, first)
	assert.Equal(t, int32(2), last.UpperCount)
}

// Tables 9.1 and 9.2 of D. C. Montgomery, Introduction to Statistical Quality
// Control: data and upper sums from a copy, lower sums recomputed.
func TestCusumAgainstMontgomery(t *testing.T) {
	chart := Chart{Allowance: 50, Interval: 500}
	first, last := runTable(t, chart, Cusum{}, 10, 100, []row{
		{9.45, 0, 0.05}, {7.99, 0, 1.56}, {9.29, 0, 1.77}, {11.66, 1.16, 0}, {12.16, 2.82, 0},
		{10.18, 2.50, 0}, {8.04, 0.04, 1.46}, {11.46, 1.00, 0}, {9.20, 0, 0.30}, {10.34, 0, 0},
		{9.03, 0, 0.47}, {11.47, 0.97, 0}, {10.51, 0.98, 0}, {9.40, 0, 0.10}, {10.08, 0, 0},
		{9.37, 0, 0.13}, {10.62, 0.12, 0}, {10.31, 0, 0}, {8.52, 0, 0.98}, {10.84, 0.34, 0},
		{10.90, 0.74, 0}, {9.33, 0, 0.17}, {12.29, 1.79, 0}, {11.50, 2.79, 0}, {10.60, 2.89, 0},
		{11.08, 3.47, 0}, {10.38, 3.35, 0}, {11.62, 4.47, 0}, {11.31, 5.28, 0}, {10.52, 5.30, 0},
	})
	require.Equal(t, 29, first)
	assert.Equal(t, int32(7), last.UpperCount, "so the change came after observation 22")
	// 10 + 0.5 + 5.28/7 = 11.25 (the book's estimate of the new mean, from memory).
	assert.Equal(t, int64(50+75), last.Shift(chart))
}

// The head start of Lucas and Crosier (Technometrics 24, 1982), after Six Sigma:
// Advanced Tools, table 24.1.
func TestCusumHeadStart(t *testing.T) {
	chart := Chart{Allowance: 5, Interval: 50}
	xs := []float64{0.8, 1.9, 1.4, 2.0, 1.1, 0.7, 2.6}
	for _, c := range []struct {
		name  string
		begin Cusum
		upper []float64
		first int
	}{
		{"without", Cusum{}, []float64{0.3, 1.7, 2.6, 4.1, 4.7, 4.9, 7.0}, 7},
		{"with", Cusum{Upper: 25, Lower: 25}, []float64{2.8, 4.2, 5.1, 6.6, 7.2, 7.4, 9.5}, 3},
	} {
		t.Run(c.name, func(t *testing.T) {
			rows := make([]row, len(xs))
			lower := float64(c.begin.Lower) / 10
			for i, x := range xs {
				lower = max(lower-x-0.5, 0)
				rows[i] = row{x, c.upper[i], lower}
			}
			first, _ := runTable(t, chart, c.begin, 0, 10, rows)
			assert.Equal(t, c.first, first)
		})
	}
}

func TestCusumSignalsOnlyAboveTheInterval(t *testing.T) {
	chart := Chart{Allowance: 5, Interval: 50}
	for _, sign := range []int64{-1, 1} {
		var c Cusum
		c.Step(chart, sign*55)
		upper, lower := c.Signals(chart)
		assert.False(t, upper || lower, "sums of just the interval")
		c.Step(chart, sign*6)
		upper, lower = c.Signals(chart)
		assert.Equal(t, sign > 0, upper, "a sum of one more")
		assert.Equal(t, sign < 0, lower, "a sum of one more")
		assert.Equal(t, sign*(5+51/2), c.Shift(chart))
	}
}

// run returns after how many deviations the chart signals, for normal deviates
// with a standard deviation of 1 about the shift. A thousand steps make 1.
func run(random *rand.Rand, chart Chart, begin Cusum, shift float64, both bool) int {
	c := begin
	for n := 1; ; n++ {
		c.Step(chart, int64(math.Round(1000*(random.NormFloat64()+shift))))
		upper, lower := c.Signals(chart)
		if upper || lower && both {
			return n
		}
	}
}

// runLength returns the mean of many runs and its standard error.
func runLength(runs int, chart Chart, begin Cusum, shift float64, both bool) (mean, standardError float64) {
	random := rand.New(rand.NewPCG(19540601, uint64(runs)))
	sum, squares := 0.0, 0.0
	for range runs {
		n := float64(run(random, chart, begin, shift, both))
		sum, squares = sum+n, squares+n*n
	}
	mean = sum / float64(runs)
	return mean, math.Sqrt((squares/float64(runs) - mean*mean) / float64(runs))
}

// Average run lengths for an allowance of 0.5, from xcusum.arl of the R package
// spc 0.6.7; equal at their three digits to the tables printed in Montgomery's
// book and by Lucas and Crosier (from memory).
func TestCusumRunLengths(t *testing.T) {
	for _, c := range []struct {
		name     string
		interval int64
		head     int64
		shift    float64
		both     bool
		runs     int
		want     float64
	}{
		{"h 4, no shift", 4000, 0, 0, true, 100000, 167.684},
		{"h 4, no shift, one side", 4000, 0, 0, false, 20000, 335.37},
		{"h 4, 1 sigma", 4000, 0, 1, true, 100000, 8.383},
		{"h 4, 1 sigma, head start", 4000, 2000, 1, true, 100000, 5.287},
		{"h 5, no shift", 5000, 0, 0, true, 20000, 465.444},
		{"h 5, no shift, one side", 5000, 0, 0, false, 10000, 930.89},
		{"h 5, 0.5 sigma", 5000, 0, 0.5, true, 100000, 37.996},
		{"h 5, 1 sigma", 5000, 0, 1, true, 100000, 10.376},
		{"h 5, 2 sigma", 5000, 0, 2, true, 100000, 4.009},
		{"h 5, 1 sigma, head start", 5000, 2500, 1, true, 100000, 6.347},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			mean, standardError := runLength(c.runs, Chart{Allowance: 500, Interval: c.interval}, Cusum{Upper: c.head, Lower: c.head}, c.shift, c.both)
			assert.InDelta(t, c.want, mean, 3*standardError)
			assert.Less(t, standardError, c.want/40, "so many runs can tell")
		})
	}
}

// siegmund is D. Siegmund's approximation of a one-sided run length (Sequential
// Analysis, 1985; from memory) for an allowance of 0.5.
func siegmund(shift, interval float64) float64 {
	d, b := shift-0.5, interval+1.166
	return (math.Exp(-2*d*b) + 2*d*b - 1) / (2 * d * d)
}

func TestCusumAgainstSiegmund(t *testing.T) {
	// The formula's own values, as Montgomery works them out.
	assert.InDelta(t, 938.222, siegmund(0, 5), 1e-3)
	assert.InDelta(t, 10.336, siegmund(1, 5), 1e-3)
	assert.InDelta(t, 338.093, siegmund(0, 4), 1e-3)
	// It is good to some per cent.
	for _, shift := range []float64{0.75, 1.25, 1.5} {
		mean, _ := runLength(20000, Chart{Allowance: 500, Interval: 5000}, Cusum{}, shift, false)
		assert.InEpsilon(t, siegmund(shift, 5), mean, 0.04, "shift of %g", shift)
	}
}

// A chart is two one-sided ones that mirror each other, and no sum overflows.
func TestCusumProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		chart := Chart{
			Allowance: rapid.Int64Range(0, 1e12).Draw(t, "allowance"),
			Interval:  rapid.Int64Range(0, 1e13).Draw(t, "interval"),
		}
		var c, mirror Cusum
		for _, x := range rapid.SliceOf(rapid.Int64Range(-math.MaxInt64, math.MaxInt64)).Draw(t, "deviations") {
			c.Step(chart, x)
			mirror.Step(chart, -x)
			require.Equal(t, Cusum{mirror.Lower, mirror.Upper, mirror.LowerCount, mirror.UpperCount}, c)
			require.GreaterOrEqual(t, c.Upper, int64(0))
			require.GreaterOrEqual(t, c.Lower, int64(0))
			require.Equal(t, c.Upper > 0, c.UpperCount > 0, "the count begins where the sum does")
			if c.Upper != c.Lower {
				require.Equal(t, -mirror.Shift(chart), c.Shift(chart))
			}
		}
	})
}

func TestCusumSaturates(t *testing.T) {
	chart := Chart{}
	c := Cusum{Upper: math.MaxInt64 / 8, UpperCount: math.MaxInt32}
	c.Step(chart, math.MaxInt64)
	assert.Equal(t, Cusum{Upper: sumMost, UpperCount: math.MaxInt32}, c)
}

func BenchmarkCusumStep(b *testing.B) {
	b.ReportAllocs()
	chart := Chart{Allowance: 500, Interval: 5000}
	var c Cusum
	for i := range int64(b.N) {
		c.Step(chart, i&0x7ff-1024)
	}
	_ = c
}
