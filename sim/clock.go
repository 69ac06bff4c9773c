package main

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"bathtender/hal/quantity"
)

// parseClock reads a time on a session's clock: h:mm:ss, mm:ss, seconds, or a
// time with units.
func parseClock(text string) (time.Duration, error) {
	if d, err := quantity.ParseDuration(text); err == nil && d >= 0 {
		return d, nil
	}
	bad := fmt.Errorf("%q is not a time; allowed are seconds as in 12.5, h:mm:ss, and units as in \"45 min 43 s\"", text)
	parts := strings.Split(text, ":")
	if len(parts) > 3 {
		return 0, bad
	}
	seconds := 0.0
	for i, part := range parts {
		value, err := strconv.ParseFloat(part, 64)
		whole := value == math.Trunc(value)
		if err != nil || value < 0 || value > 1e6 || math.IsNaN(value) || i < len(parts)-1 && !whole || i > 0 && value >= 60 {
			return 0, bad
		}
		seconds = 60*seconds + value
	}
	return time.Duration(math.Round(seconds*1e3)) * time.Millisecond, nil
}
