package quantity

import (
	"errors"
	"math/big"
	"strings"
)

// decimal is digits / 10^places.
type decimal struct {
	digits *big.Int
	places int
}

// digitsMax bounds a number's length; every quantity of a tank needs far fewer.
const digitsMax = 30

// readDecimal reads a plain decimal from the front of text and returns the rest.
func readDecimal(text string) (decimal, string, error) {
	if text == "" {
		return decimal{}, "", errors.New("is empty")
	}
	end := 0
	if text[0] == '-' || text[0] == '+' {
		end++
	}
	start, places, point := end, 0, -1
	for end < len(text) && (isDigit(text[end]) || text[end] == '.' && point < 0) {
		if text[end] == '.' {
			point = end
		} else if point >= 0 {
			places++
		}
		end++
	}
	switch {
	case start == end:
		return decimal{}, "", errors.New("does not start with a number")
	case point == start || point == end-1:
		return decimal{}, "", errors.New("needs a digit on both sides of its decimal point")
	case end < len(text) && text[end] == ',':
		return decimal{}, "", errors.New("has a comma where a decimal point is needed")
	case end < len(text) && (text[end] == '.' || text[end] == '_'):
		return decimal{}, "", errors.New("is not a plain decimal number")
	case end-start > digitsMax:
		return decimal{}, "", errors.New("has too many digits")
	}
	digits, ok := new(big.Int).SetString(strings.TrimPrefix(strings.Replace(text[:end], ".", "", 1), "+"), 10)
	if !ok { // not reached: only digits and a sign are left
		return decimal{}, "", errors.New("is not a plain decimal number")
	}
	return decimal{digits, places}, text[end:], nil
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

func pow10(n int) *big.Int {
	return new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(n)), nil)
}
