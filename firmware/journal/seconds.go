package journal

import (
	"fmt"
	"time"

	"bathtender/hal/trace"
)

// Seconds is a time that stands as an exact decimal of seconds.
type Seconds time.Duration

// MarshalJSON implements json.Marshaler.
func (s Seconds) MarshalJSON() ([]byte, error) {
	return []byte(trace.FormatSeconds(time.Duration(s))), nil
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
