package tach

import (
	"math/bits"
	"time"

	"bathtender/hal"
)

// Speed returns the speed at the given time of the clock of the edges: that of
// whole revolutions in the window, and no more than the silence since allows. It is
// 0, and fresh, for a fan that stands. There is no reading where the tach was not
// watched for long enough, where edges were lost, and where the pulses are not those
// of a fan.
func (t *Tach) Speed(now time.Duration) hal.Reading[hal.RotationalSpeed] {
	age := max(now-t.until, 0)
	if t.pulses == 0 || !t.watched || age > Window {
		return hal.Reading[hal.RotationalSpeed]{}
	}
	n := t.inWindow()
	if t.isNoise(n) {
		return hal.Reading[hal.RotationalSpeed]{}
	}
	if n-1 < intervalsJudged && t.until-t.since < Window {
		return hal.Reading[hal.RotationalSpeed]{}
	}
	return hal.Aged(t.measured(n), age)
}

// inWindow returns how many of the last pulses lie in the window.
func (t *Tach) inWindow() int {
	n := 0
	for ; n < t.n; n++ {
		if at, _ := t.last(n); t.until-at > Window {
			break
		}
	}
	return n
}

// measured returns the speed from the last n pulses; 0 from fewer than two. It is
// taken over whole revolutions where the window has one, since the poles of a fan
// are not spaced evenly.
func (t *Tach) measured(n int) hal.RotationalSpeed {
	if n < 2 {
		return 0
	}
	intervals := n - 1
	if whole := intervals - intervals%int(t.pulses); whole > 0 {
		intervals = whole
	}
	newest, _ := t.last(0)
	oldest, _ := t.last(intervals)
	speed := t.rate(int64(intervals), newest-oldest)
	// The revolution that the next pulse ends has taken this long already.
	behind := min(int(t.pulses), n) - 1
	began, _ := t.last(behind)
	return min(speed, t.rate(int64(behind)+1, t.until-began))
}

// rate returns the speed of so many intervals between pulses in a time over 0.
func (t *Tach) rate(intervals int64, in time.Duration) hal.RotationalSpeed {
	const minute = int64(time.Minute) * int64(hal.RPM)
	// At most 255 * 6e13, far from what an int64 holds.
	return hal.RotationalSpeed(intervals * minute / (t.pulses * max(int64(in), 1)))
}

// isNoise reports whether the last n pulses, and those too fast among them, are not
// those of a fan.
func (t *Tach) isNoise(n int) bool {
	bad := 0
	for i := range t.bad {
		if at := t.impossible[(t.nextBad-1-i+2*kept)%kept]; t.until-at > Window {
			break
		}
		bad++
	}
	if bad > 1 && bad*impossibleShare > n+bad {
		return true
	}
	intervals := n - 1
	if intervals < intervalsJudged {
		return false
	}
	// With m intervals d, variance/mean² = m*sum(d²)/sum(d)² - 1, over 1/4 for
	// noise: 4*m*sum(d²) > 5*sum(d)². In microseconds it fits in 64 bits, but for
	// the last products, which are taken in 128.
	var sum, squares uint64
	for i := range intervals {
		later, _ := t.last(i)
		earlier, _ := t.last(i + 1)
		d := uint64((later - earlier) / time.Microsecond)
		sum += d
		squares += d * d
	}
	leftHigh, left := bits.Mul64(4*uint64(intervals), squares)
	rightHigh, right := bits.Mul64(5*sum, sum)
	return leftHigh > rightHigh || leftHigh == rightHigh && left > right
}
