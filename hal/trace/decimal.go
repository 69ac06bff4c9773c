package trace

import (
	"errors"
	"math"
	"strconv"
)

// What can be wrong with the text of a decimal.
var (
	errNotNumber  = errors.New("not a number")
	errTooFine    = errors.New("too many decimals")
	errOutOfRange = errors.New("out of range")
)

// A scale says how an integer stands in a trace: as a decimal with so many
// places that counts from zero, which is itself an integer of the same unit.
// Degrees Celsius in nanokelvin have 9 places and zero at 273.15 K.
type scale struct {
	places int
	zero   int64
}

// pow10 holds the powers of ten for the places of a scale.
var pow10 = [...]uint64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9}

// append adds the shortest exact decimal of value to dst: no exponent, no
// trailing zeros, no point without a digit after it.
func (s scale) append(dst []byte, value int64) []byte {
	// The difference from zero needs up to 65 bits with its sign. Unsigned
	// subtraction wraps around to exactly its magnitude.
	magnitude := uint64(value) - uint64(s.zero)
	if value < s.zero {
		magnitude = -magnitude
		dst = append(dst, '-')
	}
	one := pow10[s.places]
	dst = strconv.AppendUint(dst, magnitude/one, 10)
	fraction := magnitude % one
	if fraction == 0 {
		return dst
	}
	dst = append(dst, '.')
	for fraction > 0 {
		one /= 10
		dst = append(dst, '0'+byte(fraction/one))
		fraction %= one
	}
	return dst
}

// parse returns the integer that text stands for. The text is digits, with an
// optional minus before them and an optional point with at least one digit on
// either side.
func (s scale) parse(text string) (int64, error) {
	digits := text
	negative := len(digits) > 0 && digits[0] == '-'
	if negative {
		digits = digits[1:]
	}
	var magnitude uint64
	overflow := false
	places := -1 // decimals so far; -1 before the point
	for i := 0; i < len(digits); i++ {
		c := digits[i]
		switch {
		case c == '.' && places < 0 && i > 0 && i < len(digits)-1:
			places = 0
			continue
		case c < '0' || c > '9':
			return 0, errNotNumber
		}
		if places >= 0 {
			places++
		}
		magnitude, overflow = timesTenPlus(magnitude, uint64(c-'0'), overflow)
	}
	if len(digits) == 0 {
		return 0, errNotNumber
	}
	places = max(places, 0)
	if places > s.places {
		return 0, errTooFine
	}
	for ; places < s.places; places++ {
		magnitude, overflow = timesTenPlus(magnitude, 0, overflow)
	}
	if overflow {
		return 0, errOutOfRange
	}
	zero := uint64(s.zero)
	if negative {
		if magnitude > zero-1<<63 { // from the zero down to the least int64
			return 0, errOutOfRange
		}
		return int64(zero - magnitude), nil
	}
	if magnitude > math.MaxInt64-zero { // from the zero up to the greatest int64
		return 0, errOutOfRange
	}
	return int64(zero + magnitude), nil
}

// timesTenPlus returns 10*magnitude + digit, and whether it or an earlier step
// was more than 64 bits hold.
func timesTenPlus(magnitude, digit uint64, overflow bool) (uint64, bool) {
	if magnitude > (math.MaxUint64-digit)/10 {
		overflow = true
	}
	return magnitude*10 + digit, overflow
}
