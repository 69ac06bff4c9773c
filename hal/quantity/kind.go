package quantity

import (
	"fmt"
	"math/big"
	"strings"
)

// Kind is one kind of quantity: how it is read and how it is shown.
type Kind[Q ~int64] struct {
	what    string // "temperature", for messages
	example string // a value as people write it
	units   []unit
	parse   func(string) (Q, error) // instead of the units, where set
	format  func(Q) string
}

// unit is worth num/den of the quantity's smallest step, plus offset steps.
type unit struct {
	name     string
	num, den int64
	offset   int64
	// rounded marks a unit that the smallest step cannot express exactly; its
	// values are rounded to the nearest step, halves away from zero.
	rounded bool
}

// Parse reads a number with one of the kind's units. Its error is one sentence
// that quotes the value and lists what is allowed.
func (k Kind[Q]) Parse(text string) (Q, error) {
	if k.parse != nil {
		return k.parse(text)
	}
	n, name, err := k.split(text)
	if err != nil {
		return 0, err
	}
	u, ok := k.unit(name)
	switch {
	case name == "":
		return 0, fmt.Errorf("%s %s has no unit, allowed %s", k.what, Quote(text), k.allowed())
	case !ok:
		return 0, fmt.Errorf("%s %s has the unknown unit %s, allowed %s", k.what, Quote(text), Quote(name), k.allowed())
	}
	return k.scale(text, n, u)
}

// Format returns the quantity as short text for a person. It is rounded to what
// is sensible to read, so it does not always read back as the same value.
func (k Kind[Q]) Format(q Q) string { return k.format(q) }

// What returns the kind's name: "temperature".
func (k Kind[Q]) What() string { return k.what }

// Example returns a value of the kind as it is written in a file.
func (k Kind[Q]) Example() string { return k.example }

func (k Kind[Q]) unit(name string) (unit, bool) {
	for _, u := range k.units {
		if u.name == name {
			return u, true
		}
	}
	return unit{}, false
}

// allowed lists the units as a sentence goes on after "allowed".
func (k Kind[Q]) allowed() string {
	names := make([]string, len(k.units))
	for i, u := range k.units {
		names[i] = u.name
	}
	verb := "are "
	if len(names) == 1 {
		verb = "is "
	}
	return verb + List(names) + ", as in " + Quote(k.example)
}

func (k Kind[Q]) split(text string) (decimal, string, error) {
	n, rest, err := readDecimal(strings.TrimSpace(text))
	if err != nil {
		return decimal{}, "", fmt.Errorf("%s %s %w, allowed is a number with a unit, as in %s",
			k.what, Quote(text), err, Quote(k.example))
	}
	return n, strings.TrimSpace(rest), nil
}

// scale turns a number of units into steps.
func (k Kind[Q]) scale(text string, n decimal, u unit) (Q, error) {
	value := new(big.Int).Mul(n.digits, big.NewInt(u.num))
	step := new(big.Int).Mul(pow10(n.places), big.NewInt(u.den))
	quotient, rest := new(big.Int).QuoRem(value, step, new(big.Int))
	if rest.Sign() != 0 {
		if !u.rounded {
			return 0, fmt.Errorf("%s %s is finer than can be kept, allowed are fewer decimals, as in %s",
				k.what, Quote(text), Quote(k.example))
		}
		twice := new(big.Int).Abs(rest)
		if twice.Lsh(twice, 1).Cmp(step) >= 0 {
			quotient.Add(quotient, big.NewInt(int64(value.Sign())))
		}
	}
	quotient.Add(quotient, big.NewInt(u.offset))
	if !quotient.IsInt64() {
		return 0, fmt.Errorf("%s %s is too large to be kept, allowed is a smaller number, as in %s",
			k.what, Quote(text), Quote(k.example))
	}
	return Q(quotient.Int64()), nil
}
