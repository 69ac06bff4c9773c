package picture

import (
	"math"
	"strconv"
	"strings"
	"time"
)

// scale is an axis of values that begins and ends on round ticks: whole multiples
// of a step, which is 1, 2 or 5 times a power of ten.
type scale struct {
	first, last int // the first and the last tick, in steps
	step        float64
	places      int // decimals of the step
}

// newScale returns the scale over some values with about four steps.
func newScale(low, high float64) scale {
	if high-low < 1e-6*math.Max(math.Abs(low), math.Abs(high)) || high-low < 1e-6 {
		pad := math.Max(math.Abs(high)/20, 0.5)
		low, high = low-pad, high+pad
	}
	step, places := roundStep((high - low) / 4)
	return scale{int(math.Floor(low/step + 0.02)), int(math.Ceil(high/step - 0.02)), step, places}
}

// roundStep returns the least round step that is not under a size, and how many
// decimals it takes.
func roundStep(least float64) (step float64, places int) {
	power := int(math.Floor(math.Log10(least)))
	for {
		for _, m := range []float64{1, 2, 5} {
			if step = m * math.Pow10(power); step >= least*0.999 {
				return step, max(-power, 0)
			}
		}
		power++
	}
}

func (s scale) tick(i int) float64 { return float64(float64(i) * s.step) }

// at returns where a value stands between the first tick (0) and the last (1).
func (s scale) at(value float64) float64 {
	return (value - s.tick(s.first)) / (s.tick(s.last) - s.tick(s.first))
}

func (s scale) label(i int) string { return decimal(s.tick(i), s.places) }

// decimal writes a number with a true minus sign.
func decimal(value float64, places int) string {
	text := strconv.FormatFloat(value, 'f', places, 64)
	if strings.Trim(text, "-0.") == "" {
		return strings.TrimPrefix(text, "-")
	}
	return strings.Replace(text, "-", string(minus), 1)
}

// clock is the axis of time, in the unit that suits its length.
type clock struct {
	unit   time.Duration
	name   string // of the unit
	step   float64
	places int
}

// newClock returns the axis for a span of time in nanoseconds, with about ten
// steps. A broken trace may span more than a time.Duration can.
func newClock(span float64) clock {
	c := clock{unit: time.Hour, name: "h"}
	switch {
	case span <= float64(5*time.Minute):
		c = clock{unit: time.Second, name: "s"}
	case span <= float64(5*time.Hour):
		c = clock{unit: time.Minute, name: "min"}
	}
	c.step, c.places = roundStep(max(span/float64(c.unit), 0.1) / 10)
	return c
}

// ticksMost bounds the ticks of a zero so far away that they cannot be told
// apart.
const ticksMost = 20

// ticks returns the round times from one to another, in nanoseconds seen from
// zero.
func (c clock) ticks(from, to float64) []float64 {
	first := math.Ceil(from/float64(c.unit)/c.step - 1e-9)
	last := math.Floor(to/float64(c.unit)/c.step + 1e-9)
	var list []float64
	for i := 0; i < ticksMost && first+float64(i) <= last; i++ {
		list = append(list, float64((first+float64(i))*c.step))
	}
	return list
}

// since returns the time from one to another; the longest there is where they
// are further apart.
func since(at, zero time.Duration) time.Duration {
	d := at - zero
	switch {
	case at > zero && d < 0:
		return math.MaxInt64
	case at < zero && d > 0:
		return -math.MaxInt64
	}
	return d
}

// ago writes a time seen from the zero of a picture, for its list of what
// happened: "-12.3 s", "+4.0 s", "+28 min 24 s".
func ago(d time.Duration) string {
	sign := "+"
	if d < 0 {
		sign, d = string(minus), -d
	}
	if d == 0 {
		return "0 s"
	}
	if d < 10*time.Minute {
		return sign + strconv.FormatFloat(d.Seconds(), 'f', 1, 64) + " s"
	}
	d = d.Round(time.Second)
	text := strconv.Itoa(int(d/time.Minute)) + " min"
	if s := d % time.Minute / time.Second; s != 0 {
		text += " " + strconv.Itoa(int(s)) + " s"
	}
	return sign + text
}
