package report

import (
	"math"
	"strconv"
	"strings"
)

// A scale is a vertical axis: a range that begins and ends on ticks.
type scale struct {
	low, high, step float64
}

// newScale is a scale over low to high with about four steps of 1, 2 or 5 times
// a power of ten, or 2.5 times one where that fits better.
func newScale(low, high float64) scale {
	low, high = drawable(low), drawable(high)
	if big := max(math.Abs(low), math.Abs(high)); high-low <= 1e-9*max(big, 1) {
		pad := max(big*0.05, 1)
		low, high = low-pad, high+pad
	}
	raw := high/4 - low/4
	power := math.Pow10(int(math.Floor(math.Log10(raw))))
	step := 10 * power
	for _, m := range []float64{1, 2, 2.5, 5} {
		if m*power >= raw*0.999 {
			step = m * power
			break
		}
	}
	// A fiftieth of a step past a tick is less than the width of a line: such a
	// value is drawn on the edge and does not add a whole step to the axis.
	const over = 0.02
	return scale{math.Floor(low/step+over) * step, math.Ceil(high/step-over) * step, step}
}

// at is where value stands between low (0) and high (1).
func (s scale) at(value float64) float64 { return (drawable(value) - s.low) / (s.high - s.low) }

// drawable keeps a value where the arithmetic of scales does not give out.
func drawable(value float64) float64 { return min(max(value, -1e300), 1e300) }

func (s scale) ticks() []float64 {
	n := int(math.Round((s.high - s.low) / s.step))
	ticks := make([]float64, n+1)
	for i := range ticks {
		ticks[i] = s.low + float64(i)*s.step
	}
	return ticks
}

// label writes a tick with the decimals that its step needs.
func (s scale) label(value float64) string {
	if math.Abs(value) < s.step/1e6 {
		return "0"
	}
	return number(value, decimals(s.step))
}

// decimals is how many places a multiple of step needs.
func decimals(step float64) int {
	for d := range 9 {
		if p := step * math.Pow10(d); math.Abs(p-math.Round(p)) < 1e-6*p {
			return d
		}
	}
	return 9
}

// number writes a value for people, with a true minus sign.
func number(value float64, places int) string {
	if math.Abs(value) >= 1e9 {
		return strings.Replace(strconv.FormatFloat(value, 'g', 4, 64), "-", "\u2212", 1)
	}
	return strings.Replace(strconv.FormatFloat(value, 'f', places, 64), "-", "\u2212", 1)
}

// reading writes a measured value with the places that suit the greatest of its
// kind, big: four figures or so.
func reading(value, big float64) string {
	places := 1
	switch big = math.Abs(big); {
	case big >= 1000:
		places = 0
	case big < 1:
		places = 3
	}
	if math.Abs(value) < 0.5*math.Pow10(-places) {
		return "0"
	}
	return number(value, places)
}

// scale is the axis of the panel: all readings, those limits that are near
// them, and 0 where asked for.
func (p *Panel) scale() scale {
	low, high, some := 0.0, 0.0, false
	take := func(v float64) {
		if !some {
			low, high, some = v, v, true
		}
		low, high = min(low, v), max(high, v)
	}
	for _, l := range p.Lines {
		if l.Track != nil && l.Track.total.count > 0 {
			take(l.Track.total.min)
			take(l.Track.total.max)
		}
	}
	if p.FromZero {
		take(0)
	}
	dataLow, dataHigh := low, high
	for _, l := range p.Limits {
		if !finite(l.Value) {
			continue
		}
		// Limits above and below may together take half of the height, not more.
		reach := max((dataHigh-dataLow)/2, math.Abs(dataHigh)*0.05, 1)
		if !some || (l.Value >= dataLow-reach && l.Value <= dataHigh+reach) {
			take(l.Value)
		}
	}
	if !some {
		return newScale(0, 1)
	}
	return newScale(low, high)
}

func finite(v float64) bool { return v-v == 0 }
