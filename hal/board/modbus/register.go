package modbus

import (
	"encoding/binary"
	"fmt"
	"math"
)

// Quantity is what a register holds.
type Quantity byte

// The quantities of a mains meter. In physic integers they are millionths of a
// hertz and thousand millionths of the others.
const (
	Watts Quantity = iota
	Volts
	Amperes
	Hertz
	quantities
)

func (q Quantity) String() string {
	return [...]string{"watts", "volts", "amperes", "hertz"}[q]
}

// parts is how many steps of the physic integer one unit has.
func (q Quantity) parts() int64 {
	if q == Hertz {
		return 1e6
	}
	return 1e9
}

// Form is how a number stands in registers.
type Form byte

// The forms.
const (
	Float32 Form = iota // IEEE 754 binary32
	Uint16
	Int16
	Uint32
	Int32
)

// words is how many registers of two bytes a form takes.
func (f Form) words() int {
	if f == Uint16 || f == Int16 {
		return 1
	}
	return 2
}

// Order is the order of the bytes; A is the highest.
type Order byte

// The orders. Where a number takes one register, only the order within the
// register counts: high byte first in the first two.
const (
	ABCD Order = iota // high word first, high byte first, as the protocol has it
	CDAB              // low word first
	BADC              // low byte first
	DCBA              // both
)

// Register is one quantity of a meter.
type Register struct {
	Quantity Quantity
	Table    Table
	Number   int // address as the wire has it, 0 to 65535
	Form     Form
	Order    Order
	Divide   int64 // what the raw number is divided by, 1 or more
}

// value returns the quantity in its physic integer from the register's bytes. It
// is false where the bytes are no number, or more than an integer holds.
func (r Register) value(bytes []byte) (int64, bool) {
	var raw uint32
	if r.Form.words() == 1 {
		if raw = uint32(binary.BigEndian.Uint16(bytes)); r.Order == BADC || r.Order == DCBA {
			raw = uint32(binary.LittleEndian.Uint16(bytes))
		}
	} else {
		a, b, c, d := bytes[0], bytes[1], bytes[2], bytes[3]
		switch r.Order {
		case CDAB:
			a, b, c, d = c, d, a, b
		case BADC:
			a, b, c, d = b, a, d, c
		case DCBA:
			a, b, c, d = d, c, b, a
		}
		raw = uint32(a)<<24 | uint32(b)<<16 | uint32(c)<<8 | uint32(d)
	}
	switch r.Form {
	case Float32:
		return scaled(float64(math.Float32frombits(raw)), r.Quantity.parts(), r.Divide)
	case Int16:
		return divided(int64(int16(raw)), r.Quantity.parts(), r.Divide)
	case Int32:
		return divided(int64(int32(raw)), r.Quantity.parts(), r.Divide)
	default:
		return divided(int64(raw), r.Quantity.parts(), r.Divide)
	}
}

// divided is exact but for the last step, which is rounded, halves away from 0. A
// number of 32 bits times 10^9 fits an integer.
func divided(raw, parts, divide int64) (int64, bool) {
	product, half := raw*parts, divide/2
	if product < 0 {
		half = -half
	}
	return (product + half) / divide, true
}

func scaled(number float64, parts, divide int64) (int64, bool) {
	value := math.Round(number * float64(parts) / float64(divide))
	// Not a number is not under a limit either.
	if !(math.Abs(value) < math.MaxInt64) {
		return 0, false
	}
	return int64(value), true
}

// check returns an error where a register cannot be.
func (r Register) check() error {
	switch {
	case r.Quantity >= quantities, r.Form > Int32, r.Order > DCBA, r.Table != Input && r.Table != Holding:
		return fmt.Errorf("a register has no known quantity, form, order or table")
	case r.Number < 0 || r.Number+r.Form.words() > 65536:
		return fmt.Errorf("register %d for %s is none, allowed are 0 to %d", r.Number, r.Quantity, 65536-r.Form.words())
	case r.Divide < 1:
		return fmt.Errorf("register %d for %s is divided by %d, allowed is 1 or more", r.Number, r.Quantity, r.Divide)
	}
	return nil
}
