package bench

import (
	"math/bits"
	"time"
)

// analog is a knob: a reading that is a number, or a dummy load. Its value is
// the integer of its quantity. A knob that is followed turns by itself.
type analog struct {
	value   int64
	valid   bool // false for no reading
	age     time.Duration
	ageing  bool // the age grows with time: the sensor answers no more
	follows bool
	around  int64 // of the mains: what it follows
	ramp    ramp
}

// ramp is a knob that is being turned evenly.
type ramp struct {
	from, to   int64
	done, took time.Duration // took is 0 while none is on
}

// set puts the knob to a value; an ageing one is never measured again.
func (a *analog) set(value int64, age time.Duration, ageing bool) {
	*a = analog{value: value, valid: true, age: age, ageing: ageing, around: a.around}
}

// nothing takes the reading away.
func (a *analog) nothing() { *a = analog{around: a.around} }

// turn begins a ramp from where the knob is.
func (a *analog) turn(to int64, took time.Duration) {
	a.set(a.value, 0, false)
	a.ramp = ramp{from: a.value, to: to, took: took}
}

// pass lets time pass for the knob.
func (a *analog) pass(elapsed time.Duration) {
	if a.ageing {
		a.age += elapsed
	}
	if a.ramp.took == 0 {
		return
	}
	a.ramp.done += elapsed
	if a.ramp.done >= a.ramp.took {
		a.value, a.ramp = a.ramp.to, ramp{}
		return
	}
	a.value = a.ramp.from + part(a.ramp.to-a.ramp.from, int64(a.ramp.done), int64(a.ramp.took))
}

// part returns value * num / den, exact but for the last step: 0 <= num < den.
func part(value, num, den int64) int64 {
	if value < 0 {
		return -part(-value, num, den)
	}
	high, low := bits.Mul64(uint64(value), uint64(num))
	quotient, _ := bits.Div64(high, low, uint64(den)) // num < den, so it fits
	return int64(quotient)
}
