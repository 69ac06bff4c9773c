package health

import "math"

// Chart is the design of a two-sided tabular CUSUM (E. S. Page, Biometrika 41,
// 1954; D. C. Montgomery, Introduction to Statistical Quality Control; both
// from memory). Its numbers are in the unit of the deviations that are put in,
// whatever that is: all of it is whole-number arithmetic, so nothing is rounded.
type Chart struct {
	// Allowance is what a deviation must exceed to add to its sum, usually half
	// of the shift that is to be found.
	Allowance int64
	// Interval is what a sum must exceed to signal: to reach it is not enough.
	Interval int64
}

// Cusum is what a chart remembers. The zero Cusum has seen nothing.
type Cusum struct {
	// Upper and Lower are the sums of what exceeded the allowance above and
	// below the target, 0 or more.
	Upper, Lower int64
	// UpperCount and LowerCount are how many deviations went in since the sum
	// was last 0, that is, since the estimated change.
	UpperCount, LowerCount int32
}

// deviationMost bounds a deviation, sumMost a sum, so that none of them can
// overflow. In nanowatts they are a million watts and a thousand million.
const deviationMost, sumMost = int64(1e15), int64(1e18)

// Step puts one more deviation from the target in.
func (c *Cusum) Step(chart Chart, deviation int64) {
	deviation = min(max(deviation, -deviationMost), deviationMost)
	c.Upper, c.UpperCount = follow(c.Upper, c.UpperCount, deviation-chart.Allowance)
	c.Lower, c.LowerCount = follow(c.Lower, c.LowerCount, -deviation-chart.Allowance)
}

func follow(sum int64, count int32, excess int64) (int64, int32) {
	if sum += excess; sum <= 0 {
		return 0, 0
	}
	if count < math.MaxInt32 {
		count++
	}
	return min(sum, sumMost), count
}

// Signals reports whether the upper or the lower sum exceeds the interval.
func (c *Cusum) Signals(chart Chart) (upper, lower bool) {
	return c.Upper > chart.Interval, c.Lower > chart.Interval
}

// Shift returns the mean deviation since the estimated change, below 0 where the
// lower sum is the greater one: the allowance and the sum's mean growth. It is 0
// while both sums are.
func (c *Cusum) Shift(chart Chart) int64 {
	switch {
	case c.Upper >= c.Lower && c.UpperCount > 0:
		return chart.Allowance + c.Upper/int64(c.UpperCount)
	case c.LowerCount > 0:
		return -chart.Allowance - c.Lower/int64(c.LowerCount)
	default:
		return 0
	}
}
