package health

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// free is a belief in nothing but that there are no losses, so that a and c are
// all there is to fit; through also fixes c at 0.
var (
	free    = belief{b: 1e12}
	through = belief{b: 1e12, c: 1e12}
)

// The linear data set Norris of the NIST Statistical Reference Datasets, with
// its certified values (as printed in the set's file).
func TestSumsAgainstNorris(t *testing.T) {
	xs := []float64{.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777, 558.2, .4, .6, 775.5, 666.9, 338, 447.5,
		11.6, 556, 228.1, 995.8, 887.6, 120.2, .3, .3, 556.8, 339.1, 887.2, 999, 779, 11.1, 118.3, 229.2, 669.1, 448.9, .5}
	ys := []float64{.1, 338.8, 118.1, 888, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, .3, .1, 778.1, 668.8, 339.3, 448.9,
		10.8, 557.7, 228.3, 998, 888.8, 119.6, .3, .6, 557.6, 339.3, 888, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, .2}
	require.Len(t, ys, 36)
	var s sums
	for i, x := range xs {
		s.add(x, 0, ys[i])
	}
	f := s.solve(free)
	require.True(t, f.ok)
	assert.InDelta(t, 1.00211681802045, f.a, 1e-9)
	assert.InDelta(t, -0.262323073774029, f.c, 1e-7)
	assert.InDelta(t, 26.6173985294224, f.sse, 1e-6)
	residual := math.Sqrt(f.sse / 34)
	assert.InDelta(t, 0.884796396144373, residual, 1e-8)
	assert.InDelta(t, 0.429796848199937e-03, residual*math.Sqrt(f.variance), 1e-9, "standard deviation of the slope")
}

// zoom fits y = b1 (1 - exp(-b2 x)) as the heat balance fits a plate's lag: a
// row of linear fits side by side, one for each value of the parameter that is
// not linear, and the best of them; then a narrower row around that one.
func zoom(xs, ys []float64, low, high float64) (b1, b2, sse float64) {
	for range 60 {
		const cells = 16
		best, least := 0, math.Inf(1)
		var found fit
		at := func(i int) float64 { return low * math.Pow(high/low, float64(i)/(cells-1)) }
		for i := range cells {
			var s sums
			for k, x := range xs {
				s.add(-math.Expm1(-at(i)*x), 0, ys[k])
			}
			if f := s.solve(through); f.ok && f.sse < least {
				best, least, found = i, f.sse, f
			}
		}
		b1, b2, sse = found.a, at(best), least
		low, high = at(max(best-2, 0)), at(min(best+2, cells-1))
	}
	return b1, b2, sse
}

// The nonlinear data sets BoxBOD and Misra1a of the NIST Statistical Reference
// Datasets: a rise that levels off, which is a heating curve. Certified values
// as printed in the sets' files.
func TestRowOfFitsAgainstCertifiedNonlinearSets(t *testing.T) {
	for _, set := range []struct {
		name        string
		x, y        []float64
		low, high   float64
		b1, b2, sse float64
	}{
		{"BoxBOD", []float64{1, 2, 3, 5, 7, 10}, []float64{109, 149, 149, 191, 213, 224}, 0.01, 10,
			2.1380940889e+02, 5.4723748542e-01, 1.1680088766e+03},
		{"Misra1a", []float64{77.6, 114.9, 141.1, 190.8, 239.9, 289.0, 332.8, 378.4, 434.8, 477.3, 536.8, 593.1, 689.1, 760.0},
			[]float64{10.07, 14.73, 17.94, 23.93, 29.61, 35.18, 40.02, 44.82, 50.76, 55.05, 61.01, 66.40, 75.47, 81.78}, 1e-5, 1e-2,
			2.3894212918e+02, 5.5015643181e-04, 1.2455138894e-01},
	} {
		b1, b2, sse := zoom(set.x, set.y, set.low, set.high)
		assert.InEpsilon(t, set.b1, b1, 1e-5, set.name)
		assert.InEpsilon(t, set.b2, b2, 1e-5, set.name)
		assert.InEpsilon(t, set.sse, sse, 1e-6, set.name)
	}
}

// A heated bath with a constant loss coefficient, exactly solved: C 41840 J/K,
// UA 5 W/K, 500 W, room 20 degC; T(600 s) 26.919150, T(3600 s) 54.962771 (the
// textbook's lumped capacity). The fit must give C back, and the losses.
func TestSumsAgainstTheLumpedBath(t *testing.T) {
	const capacity, ua, power = 41840.0, 5.0, 500.0
	bath := func(s float64) float64 { return 20 + power/ua*(1-math.Exp(-s*ua/capacity)) }
	require.InDelta(t, 26.919150, bath(600), 1e-6)
	require.InDelta(t, 54.962771, bath(3600), 1e-6)
	var s sums
	lost := 0.0
	for second := 0.0; second <= 3600; second++ {
		s.add(power*second/1000, lost, bath(second)-20)
		lost += ua * (bath(second+0.5) - 20) / 1000
	}
	f := s.solve(belief{})
	require.True(t, f.ok)
	assert.InEpsilon(t, capacity, 1000/f.a, 1e-4)
	assert.InEpsilon(t, f.a, f.b, 1e-3, "the losses are those of the model")

	// With losses that are really twice the model's, the belief gives way.
	held := s.solve(belief{ratio: 1e9})
	assert.InEpsilon(t, held.a, held.b, 1e-6)
}

func TestSumsThatSettleNothingSaySo(t *testing.T) {
	var s sums
	assert.False(t, s.solve(belief{}).ok, "no samples")
	s.add(1, 0, 1)
	assert.False(t, s.solve(belief{}).ok, "one sample")
	s.add(1, 0, 1)
	s.add(1, 0, 1)
	assert.False(t, s.solve(belief{}).ok, "all alike")
}
