package quantity

import (
	"fmt"
	"math"
	"strings"
	"time"
)

// ParseDuration reads a time: "750 ms", "8 s", "20 min", "1.5 h", or several
// parts from the longest to the shortest, of which only the last may have
// decimals: "8 min 20 s".
func ParseDuration(text string) (time.Duration, error) {
	k := readDuration
	rest := strings.TrimSpace(text)
	var total time.Duration
	longest := int64(math.MaxInt64)
	for first := true; first || rest != ""; first = false {
		n, after, err := readDecimal(rest)
		if err != nil {
			return 0, fmt.Errorf("%s %s %w, allowed is a number with a unit, as in %s",
				k.what, Quote(text), err, Quote(k.example))
		}
		name, next := cutUnit(after)
		u, ok := k.unit(name)
		switch {
		case name == "":
			return 0, fmt.Errorf("%s %s has no unit, allowed %s", k.what, Quote(text), k.allowed())
		case !ok:
			return 0, fmt.Errorf("%s %s has the unknown unit %s, allowed %s", k.what, Quote(text), Quote(name), k.allowed())
		case u.num >= longest, next != "" && n.places > 0, !first && n.digits.Sign() < 0, total < 0:
			return 0, fmt.Errorf(`%s %s does not go from whole longer parts to shorter ones, allowed is as in "8 min 20 s"`, k.what, Quote(text))
		}
		part, err := k.scale(text, n, u)
		if err != nil {
			return 0, err
		}
		if part > 0 && total > math.MaxInt64-part {
			return 0, fmt.Errorf("%s %s is too large to be kept, allowed is a smaller number, as in %s",
				k.what, Quote(text), Quote(k.example))
		}
		total += part
		longest, rest = u.num, next
	}
	return total, nil
}

// cutUnit splits a unit from whatever number follows it.
func cutUnit(text string) (unit, rest string) {
	text = strings.TrimSpace(text)
	end := strings.IndexAny(text, " \t0123456789+-.")
	if end < 0 {
		return text, ""
	}
	return text[:end], strings.TrimSpace(text[end:])
}

// FormatDuration returns a time as its two longest parts: "750 ms", "1.5 s",
// "8 min 20 s", "1 h 30 min". Under a minute it is rounded to a tenth of a
// second, under a second to a millisecond.
func FormatDuration(d time.Duration) string {
	if d < 0 {
		if d == math.MinInt64 {
			d++
		}
		return "-" + FormatDuration(-d)
	}
	switch {
	case d == 0:
		return "0 s"
	case d < time.Second-time.Millisecond/2:
		return fixed(int64(d), int64(time.Millisecond), 0) + " ms"
	case d < time.Minute-50*time.Millisecond:
		return fixed(int64(d), int64(time.Second), 1) + " s"
	case d < time.Hour-500*time.Millisecond:
		return twoParts(d, time.Minute, time.Second, "min", "s")
	default:
		return twoParts(d, time.Hour, time.Minute, "h", "min")
	}
}

func twoParts(d, long, short time.Duration, longName, shortName string) string {
	count := int64(d / short)
	if d%short >= short/2 {
		count++
	}
	per := int64(long / short)
	text := fmt.Sprintf("%d %s", count/per, longName)
	if count%per != 0 {
		text += fmt.Sprintf(" %d %s", count%per, shortName)
	}
	return text
}
