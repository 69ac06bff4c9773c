package journal

import (
	"fmt"
	"strconv"
	"strings"
	"time"
)

// Seconds is a time that stands as an exact decimal of seconds.
type Seconds time.Duration

// MarshalJSON implements json.Marshaler.
func (s Seconds) MarshalJSON() ([]byte, error) {
	text := strconv.FormatInt(int64(s), 10)
	sign := ""
	if text[0] == '-' {
		sign, text = "-", text[1:]
	}
	const places = 9
	if pad := places + 1 - len(text); pad > 0 {
		text = strings.Repeat("0", pad) + text
	}
	whole, parts := text[:len(text)-places], strings.TrimRight(text[len(text)-places:], "0")
	if parts != "" {
		parts = "." + parts
	}
	return []byte(sign + whole + parts), nil
}

// UnmarshalJSON implements json.Unmarshaler.
func (s *Seconds) UnmarshalJSON(text []byte) error {
	d, err := time.ParseDuration(string(text) + "s")
	if err != nil {
		return fmt.Errorf("%s is no number of seconds", text)
	}
	*s = Seconds(d)
	return nil
}

// Duration returns the time.
func (s Seconds) Duration() time.Duration { return time.Duration(s) }
