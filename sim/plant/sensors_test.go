package plant

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
)

func TestThermometerAgainstDataSheet(t *testing.T) {
	// Data sheet of the 1-Wire part with family code 28h, table 1: the register
	// in hexadecimal and what it means. 85 degC is also its power-on value.
	for _, c := range []struct {
		celsius float64
		raw     uint16
	}{
		{125, 0x07D0}, {85, 0x0550}, {25.0625, 0x0191}, {10.125, 0x00A2}, {0.5, 0x0008}, {0, 0x0000},
		{-0.5, 0xFFF8}, {-10.125, 0xFF5E}, {-25.0625, 0xFE6F}, {-55, 0xFC90},
		// Beyond its range the part stays at the ends.
		{200, 0x07D0}, {-100, 0xFC90},
	} {
		raw := sixteenths(c.celsius, 12)
		assert.Equal(t, c.raw, uint16(raw), "%g degC", c.celsius)
		if c.celsius >= -55 && c.celsius <= 125 {
			assert.Equal(t, c.celsius, fromSixteenths(raw).Celsius())
		}
	}
}

func TestThermometerResolutionAgainstDataSheet(t *testing.T) {
	// Table 2: conversion times of 9 to 12 bits, and steps of 1/2 to 1/16 degC.
	// Undefined bits are masked away, which rounds down.
	for i, want := range []time.Duration{93750 * time.Microsecond, 187500 * time.Microsecond,
		375 * time.Millisecond, 750 * time.Millisecond} {
		assert.Equal(t, want, conversion(9+i))
	}
	for _, c := range []struct {
		celsius float64
		bits    [4]float64
	}{
		{25.0625, [4]float64{25, 25, 25, 25.0625}},
		{-25.0625, [4]float64{-25.5, -25.25, -25.125, -25.0625}},
		{-10.125, [4]float64{-10.5, -10.25, -10.125, -10.125}},
		{60.9375, [4]float64{60.5, 60.75, 60.875, 60.9375}},
	} {
		for i, want := range c.bits {
			assert.Equal(t, want, fromSixteenths(sixteenths(c.celsius, 9+i)).Celsius(), "%g degC at %d bits", c.celsius, 9+i)
		}
	}
}

func TestNoReadingBeforeTheFirstConversionEnds(t *testing.T) {
	for bits, first := range map[int]time.Duration{9: tick, 10: 2 * tick, 11: 4 * tick, 12: 8 * tick} {
		c := demo(t)
		c.Probe[hal.BathA].Bits = bits
		r := newRig(t, c, calm(c))
		r.run(first - tick)
		assert.False(t, r.see().Probes[hal.BathA].Valid, "%d bits", bits)
		r.run(tick)
		reading := r.see().Probes[hal.BathA]
		assert.True(t, reading.Valid, "%d bits", bits)
		assert.Equal(t, first-conversion(bits), reading.Age, "%d bits", bits)
	}
}

func TestThermometerAges(t *testing.T) {
	r := demoRig(t)
	r.run(time.Second)
	var oldest time.Duration
	for range 200 {
		r.run(tick)
		oldest = max(oldest, r.see().Probes[hal.BathA].Age)
	}
	// Never older than one conversion, its read-out and a tick.
	assert.LessOrEqual(t, oldest, 750*time.Millisecond+readOut+tick)
	assert.GreaterOrEqual(t, oldest, 700*time.Millisecond)
}

func TestThermometerFollowsLate(t *testing.T) {
	// A first-order lag has gone 63.2 % of its way after one time constant.
	c := demo(t)
	w := calm(c)
	w.Bath = zero + 60
	w.Room = zero + 20
	r := newRig(t, c, w)
	r.Faults.ProbeInAir[hal.BathA] = true
	r.run(5 * time.Minute)
	from := r.see().Probes[hal.BathA].Value.Celsius()
	assert.InDelta(t, 32, from, 0.5, "in air it shows the room and a little of the bath")
	r.Faults.ProbeInAir[hal.BathA] = false
	r.run(8 * time.Second)
	bath := r.Truth().Bath - zero
	// The conversion that is shown ended up to 0.8 s before.
	assert.InDelta(t, 0.61, (r.see().Probes[hal.BathA].Value.Celsius()-from)/(bath-from), 0.025)
}

func TestTachAgainstFanSpecification(t *testing.T) {
	// Intel's 4-wire fan specification, 2.1.3: two pulses a revolution, so rpm
	// is 30 times the frequency: 20 Hz is 600, 25 is 750, 40 is 1200, 50 is
	// 1500 and 100 is 3000 rpm.
	for _, rpm := range []float64{600, 750, 1200, 1500, 3000} {
		c := demo(t)
		c.Fan[0].Speed = rpm
		r := newRig(t, c, calm(c))
		r.want = airOnly
		r.run(30 * time.Second)
		assert.InDelta(t, rpm, r.Truth().FanSpeed[0], 0.1)
		shown := r.see().Fans[0]
		assert.True(t, shown.Valid)
		assert.InDelta(t, rpm, float64(shown.Value)/float64(hal.RPM), 30, "one pulse is 30 rpm")
		assert.Zero(t, shown.Value%(30*hal.RPM))
	}
}

func TestTachNeedsItsFirstSecond(t *testing.T) {
	r := demoRig(t)
	r.run(900 * time.Millisecond)
	assert.False(t, r.see().Fans[0].Valid)
	r.run(tick)
	assert.Equal(t, hal.Fresh[hal.RotationalSpeed](0), r.see().Fans[0])
	assert.False(t, r.see().Fans[2].Valid, "there is no third fan")
}

func TestFanRunsUpAndCoastsDown(t *testing.T) {
	r := demoRig(t)
	r.want = airOnly
	r.run(1500 * time.Millisecond)
	// One time constant: 63.2 % of 2600 rpm.
	assert.InDelta(t, 0.632*2600, r.Truth().FanSpeed[0], 5)
	r.run(10 * time.Second)
	r.want = allOff
	r.run(4 * time.Second)
	assert.InDelta(t, 0.368*2600, r.Truth().FanSpeed[0], 10)
	r.run(16 * time.Second)
	assert.Less(t, r.see().Fans[0].Value, 300*hal.RPM, "silent within 20 s")
	r.want = airOnly
	r.Faults.MainsVolts = 138 // 0.6 of nominal: the supply sags to 6/7
	r.run(20 * time.Second)
	assert.InDelta(t, 2600*6.0/7, r.Truth().FanSpeed[0], 2)
}

func TestMeterShowsTheMeanOverItsWindow(t *testing.T) {
	r := demoRig(t)
	assert.False(t, r.see().Meter.Watts.Valid, "nothing before the first window ends")
	r.run(time.Second)
	assert.Equal(t, 6*physic.Watt, r.see().Meter.Watts.Value, "standby alone")
	assert.Equal(t, 230*physic.Volt, r.see().Meter.Volts.Value)
	// The heater comes on 25 ms into the third tenth of a window of half a
	// second: (0.3 s - 0.025 s) / 0.5 s of 1000 W.
	r.run(200 * time.Millisecond)
	r.want = hal.Outputs{Contactor: true, Heater: true}
	r.run(200 * time.Millisecond)
	assert.Equal(t, 6*physic.Watt, r.see().Meter.Watts.Value)
	assert.Equal(t, 400*time.Millisecond, r.see().Meter.Watts.Age)
	r.run(tick)
	assert.Equal(t, 556*physic.Watt, r.see().Meter.Watts.Value)
	assert.Zero(t, r.see().Meter.Watts.Age)
	r.run(500 * time.Millisecond)
	assert.Equal(t, 1006*physic.Watt, r.see().Meter.Watts.Value)
}

func TestMeterWithoutVoltsAndContactsThatAreNotFitted(t *testing.T) {
	c := demo(t)
	c.Meter.Volts = false
	c.Contact.Float, c.Contact.Lid, c.Contact.Leak, c.Contact.Aux = false, false, false, false
	c.Probe[hal.BathB].Fitted = false
	r := newRig(t, c, calm(c))
	r.run(2 * time.Second)
	s := r.see()
	assert.False(t, s.Meter.Volts.Valid)
	assert.True(t, s.Meter.Watts.Valid)
	assert.Equal(t, hal.Contacts{StopClosed: hal.Closed}, s.Contacts)
	assert.False(t, s.Probes[hal.BathB].Valid)
}

func TestFloatOpensBeforeTheMinimum(t *testing.T) {
	r := demoRig(t)
	r.Faults.DrainRate = 2
	r.until(10*time.Minute, func(Truth) bool { return r.see().Contacts.LevelOK == hal.Open })
	assert.InDelta(t, 0.082, r.Truth().Level, 1e-3)
	assert.Greater(t, r.Truth().Level, 0.080)
	// It closes a little higher than it opened, and waves do not make it.
	r.Faults = Faults{PourRate: 1}
	r.until(time.Minute, func(Truth) bool { return r.see().Contacts.LevelOK == hal.Closed })
	assert.InDelta(t, 0.084, r.Truth().Level, 1e-3)
}

func TestConversionsKeepTheirPace(t *testing.T) {
	// 10 bits: 187.5 ms and 50 ms of read-out, 400 conversions in 95 s, though
	// the loop looks at whole tenths of a second.
	c := demo(t)
	c.Probe[hal.BathA].Bits = 10
	r := newRig(t, c, calm(c))
	conversions, last := 0, time.Duration(-1)
	for range 950 {
		r.run(tick)
		reading := r.see().Probes[hal.BathA]
		if reading.Valid && reading.Age != last+tick {
			conversions++
		}
		last = reading.Age
	}
	assert.InDelta(t, 400, conversions, 1)
}

func TestProbeThatFreezesBeforeItsFirstConversion(t *testing.T) {
	r := demoRig(t)
	r.Faults.ProbeFrozen[hal.BathA] = true
	r.run(2 * time.Second)
	reading := r.see().Probes[hal.BathA]
	assert.True(t, reading.Valid)
	assert.InDelta(t, 20, reading.Value.Celsius(), 0.2, "its first value is the one that it keeps")
	r.want = heating
	r.run(10 * time.Minute)
	assert.Equal(t, reading.Value, r.see().Probes[hal.BathA].Value)
}

func TestMeterRoundsToTheNearestStep(t *testing.T) {
	for _, c := range []struct {
		value, step float64
		steps       int64
	}{{0, 1, 0}, {2.4, 1, 2}, {2.6, 1, 3}, {1234, 10, 123}, {1236, 10, 124}, {230.26, 0.1, 2303}} {
		assert.Equal(t, c.steps, steps(c.value, c.step), "%+v", c)
	}
}
