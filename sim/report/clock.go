package report

import (
	"fmt"
	"time"
)

// Clock writes a session time as h:mm:ss, with as many hours as there are and a
// tenth of a second only where the time is not whole seconds.
func Clock(at time.Duration) string {
	sign := ""
	if at < 0 {
		sign, at = "-", -max(at, -1<<63+1)
	}
	tenths := int64(at / (100 * time.Millisecond))
	s := fmt.Sprintf("%s%d:%02d:%02d", sign, tenths/36000, tenths/600%60, tenths/10%60)
	if tenths%10 != 0 {
		s += fmt.Sprintf(".%d", tenths%10)
	}
	return s
}

// clockSteps are the distances between ticks that a person reads easily.
var clockSteps = []time.Duration{
	100 * time.Millisecond, 200 * time.Millisecond, 500 * time.Millisecond,
	time.Second, 2 * time.Second, 5 * time.Second, 10 * time.Second, 15 * time.Second, 30 * time.Second,
	time.Minute, 2 * time.Minute, 5 * time.Minute, 10 * time.Minute, 15 * time.Minute, 30 * time.Minute,
	time.Hour, 2 * time.Hour, 3 * time.Hour, 6 * time.Hour, 12 * time.Hour,
	24 * time.Hour, 2 * 24 * time.Hour, 7 * 24 * time.Hour, 14 * 24 * time.Hour, 28 * 24 * time.Hour,
}

// clockTicks are the times to label between from and to, at most most of them.
func clockTicks(from, to time.Duration, most int) []time.Duration {
	step := clockSteps[len(clockSteps)-1]
	for _, s := range clockSteps {
		if (to-from)/s < time.Duration(most) {
			step = s
			break
		}
	}
	for (to-from)/step >= time.Duration(most) {
		step *= 2
	}
	first := from / step
	if first*step < from {
		first++
	}
	var ticks []time.Duration
	for i := first; i <= to/step; i++ {
		ticks = append(ticks, i*step)
	}
	return ticks
}
