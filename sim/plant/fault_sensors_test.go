package plant

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
)

// sensorRows are the faults of fans, air and sensors.
var sensorRows = []faultRow{
	{name: "fan stalled", want: emitting, after: 3 * time.Second,
		set: func(f *Faults) { f.FanStalled[1] = true },
		check: func(t *testing.T, well, ill state) {
			assert.InDelta(t, 0, ill.FanSpeed[1], 1)
			assert.Zero(t, ill.Fans[1].Value)
			assert.Equal(t, well.Fans[0].Value, ill.Fans[0].Value)
			assert.InDelta(t, 0.5, ill.AirShare, 0.01)
		}},
	{name: "fan slow", want: emitting, after: 30 * time.Second,
		set: func(f *Faults) { f.FanSpeedLoss[0] = 0.5 },
		check: func(t *testing.T, _, ill state) {
			assert.InDelta(t, 1300, ill.FanSpeed[0], 2)
			assert.InDelta(t, 1300, rpm(ill.Fans[0]), 30)
			assert.InDelta(t, 0.75, ill.AirShare, 0.01)
		}},
	{name: "air inlet blocked", want: emitting, after: 30 * time.Minute,
		set: func(f *Faults) { f.AirInletBlocked = 0.9 },
		check: func(t *testing.T, well, ill state) {
			assert.Equal(t, well.Fans, ill.Fans, "no tach tells")
			assert.InDelta(t, 0.1, ill.AirShare, 1e-6)
			assert.Greater(t, ill.Truth.Cabinet, well.Truth.Cabinet+2)
			assert.Greater(t, ill.Winding[0], well.Winding[0]+10)
			assert.Greater(t, ill.Probes[hal.Cabinet].Value, well.Probes[hal.Cabinet].Value+physic.Kelvin)
		}},
	{name: "tach open", want: emitting, after: 3 * time.Second,
		set:  func(f *Faults) { f.TachOpen[0] = true },
		only: []string{"Fans"},
		check: func(t *testing.T, _, ill state) {
			assert.Equal(t, hal.Fresh[hal.RotationalSpeed](0), ill.Fans[0])
		}},
	{name: "tach picks up the mains", want: allOff, after: 30 * time.Second,
		set:  func(f *Faults) { f.TachNoise[0] = true },
		only: []string{"Fans"},
		check: func(t *testing.T, _, ill state) {
			// 50 Hz at 2 pulses a revolution is 1500 rpm.
			assert.Equal(t, hal.Fresh(1500*hal.RPM), ill.Fans[0])
		}},
	{name: "tach stuck", want: allOff, after: 30 * time.Second,
		set:  func(f *Faults) { f.TachStuck[0] = true },
		only: []string{"Fans"},
		check: func(t *testing.T, well, ill state) {
			assert.InDelta(t, 2600, rpm(ill.Fans[0]), 30, "its last speed")
			assert.Less(t, well.Fans[0].Value, 300*hal.RPM)
		}},
	{name: "probe open", want: emitting, after: time.Second,
		set:  func(f *Faults) { f.ProbeOpen[hal.BathA] = true },
		only: []string{"Probes"},
		check: func(t *testing.T, _, ill state) {
			assert.Equal(t, hal.Reading[physic.Temperature]{}, ill.Probes[hal.BathA])
			assert.True(t, ill.Probes[hal.BathB].Valid)
		}},
	{name: "probe frozen", want: heating, after: 5 * time.Minute,
		set:  func(f *Faults) { f.ProbeFrozen[hal.BathA] = true },
		only: []string{"Probes"},
		check: func(t *testing.T, well, ill state) {
			assert.Equal(t, well.Probes[hal.BathA].Age, ill.Probes[hal.BathA].Age, "it answers as ever")
			assert.Less(t, ill.Probes[hal.BathA].Value, well.Probes[hal.BathA].Value-2*physic.Kelvin)
		}},
	{name: "probe offset", want: emitting, after: time.Second,
		set:  func(f *Faults) { f.ProbeOffset[hal.BathB] = -5 },
		only: []string{"Probes"},
		check: func(t *testing.T, well, ill state) {
			assert.Equal(t, well.Probes[hal.BathB].Value-5*physic.Kelvin, ill.Probes[hal.BathB].Value)
		}},
	{name: "probe shows its power-on value", want: emitting, after: time.Second,
		set:  func(f *Faults) { f.ProbePowerOn[hal.BathA] = true },
		only: []string{"Probes"},
		check: func(t *testing.T, _, ill state) {
			assert.Equal(t, 85.0, ill.Probes[hal.BathA].Value.Celsius())
		}},
	{name: "probe in air", want: heating, after: 10 * time.Minute,
		set:  func(f *Faults) { f.ProbeInAir[hal.BathA], f.ProbeInAir[hal.Cabinet] = true, true },
		only: []string{"Probes"},
		check: func(t *testing.T, well, ill state) {
			assert.Less(t, ill.Probes[hal.BathA].Value, well.Probes[hal.BathA].Value-3*physic.Kelvin)
			assert.InDelta(t, 20, ill.Probes[hal.Cabinet].Value.Celsius(), 0.2)
		}},
	{name: "meter silent", want: emitting, after: time.Second,
		set:  func(f *Faults) { f.MeterSilent = true },
		only: []string{"Meter"},
		check: func(t *testing.T, well, ill state) {
			assert.True(t, well.Meter.Volts.Valid)
			assert.Equal(t, hal.Meter{}, ill.Meter)
		}},
	{name: "meter frozen", want: allOff, after: time.Minute,
		set:  func(f *Faults) { f.MeterFrozen = true },
		only: []string{"Meter"},
		check: func(t *testing.T, well, ill state) {
			assert.Equal(t, 6.0, watt(well))
			assert.InDelta(t, 1500, watt(ill), 25, "what it was when it froze")
			assert.Equal(t, well.Meter.Watts.Age, ill.Meter.Watts.Age, "it answers as ever")
		}},
	{name: "meter scale", want: heating, after: time.Second,
		set:  func(f *Faults) { f.MeterScale = 0.1 },
		only: []string{"Meter"},
		check: func(t *testing.T, well, ill state) {
			assert.InDelta(t, 1.1*watt(well), watt(ill), 1.2)
			assert.Equal(t, well.Meter.Volts, ill.Meter.Volts)
		}},
}
