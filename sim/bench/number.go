package bench

import (
	"time"

	"bathtender/hal/quantity"
)

// value reads a value of a point that is a number, up to one of the given words.
func (r *reader) value(p point, stops ...string) (int64, error) {
	d := p.dial(r.cabinet.Machine)
	text, from := r.until(stops...)
	if text == "" {
		return 0, r.wrong(from, "%s needs a value, allowed is one as in %s", p, quantity.Quote(d.example))
	}
	value, err := d.parse(text)
	if err != nil {
		return 0, r.wrong(from, "%s", err)
	}
	if err := d.check(p, text, value); err != nil {
		return 0, r.wrong(from, "%s", err)
	}
	return value, nil
}

// span reads a time within bounds, up to one of the given words.
func (r *reader) span(what string, low, high time.Duration, stops ...string) (time.Duration, error) {
	text, from := r.until(stops...)
	if text == "" {
		return 0, r.wrong(from, `%s needs a time, allowed is one as in "2 s"`, what)
	}
	d, err := quantity.ParseDuration(text)
	if err != nil {
		return 0, r.wrong(from, "%s", err)
	}
	if d < low || d > high {
		return 0, r.wrong(from, "%s cannot be %s, allowed is %s to %s", what, quantity.Quote(text),
			quantity.FormatDuration(low), quantity.FormatDuration(high))
	}
	return d, nil
}

// The longest that one statement lets pass, and the shortest.
const (
	passMost  = 24 * time.Hour
	passLeast = time.Millisecond
)
