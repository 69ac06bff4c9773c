package plant

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
)

// powerRows are the faults of the loads, the tank and its contacts.
var powerRows = []faultRow{
	{name: "heater welded", want: airOnly, after: 2 * time.Second,
		set: func(f *Faults) { f.HeaterWelded = true },
		check: func(t *testing.T, well, ill state) {
			assert.False(t, well.HeaterOn)
			assert.InDelta(t, 1000, ill.HeaterWatts, 20)
			assert.InDelta(t, watt(well)+1000, watt(ill), 20)
		}},
	{name: "heater welded behind an open contactor", want: allOff, after: 2 * time.Second,
		asleep: true,
		set:    func(f *Faults) { f.HeaterWelded = true },
		check: func(t *testing.T, _, ill state) {
			assert.False(t, ill.HeaterOn)
		}},
	{name: "heater open", want: heating, after: 2 * time.Second,
		set: func(f *Faults) { f.HeaterOpen = true },
		check: func(t *testing.T, well, ill state) {
			assert.True(t, well.HeaterOn)
			assert.Zero(t, ill.HeaterWatts)
			assert.InDelta(t, 14, watt(ill), 1)
		}},
	{name: "heater partly open", want: heating, after: 2 * time.Second,
		set: func(f *Faults) { f.HeaterLoss = 0.48 },
		check: func(t *testing.T, well, ill state) {
			assert.InDelta(t, 0.52*well.HeaterWatts, ill.HeaterWatts, 1e-6)
			assert.InDelta(t, 0.52*(watt(well)-14)+14, watt(ill), 2)
		}},
	{name: "heater detached", want: heating, after: 2 * time.Minute,
		set: func(f *Faults) { f.HeaterDetached = true },
		check: func(t *testing.T, well, ill state) {
			assert.Equal(t, well.HeaterWatts, ill.HeaterWatts, "the meter cannot tell")
			assert.Greater(t, ill.Plate, well.Plate+100)
			assert.Less(t, ill.Bath, well.Bath-0.5)
		}},
	{name: "bank dead", want: emitting, after: 2 * time.Second,
		set: func(f *Faults) { f.BankDead[2] = true },
		check: func(t *testing.T, well, ill state) {
			assert.Equal(t, "110111", ill.Emitting.Text(6))
			assert.Zero(t, ill.BankWatts[2])
			assert.InDelta(t, watt(well)-81, watt(ill), 3)
		}},
	{name: "one emitter dead", want: emitting, after: 2 * time.Second,
		set: func(f *Faults) { f.EmittersDead[2] = 1 },
		check: func(t *testing.T, well, ill state) {
			assert.Equal(t, "111111", ill.Emitting.Text(6))
			assert.InDelta(t, well.BankWatts[2]/2, ill.BankWatts[2], 1e-9)
		}},
	{name: "bank welded", want: airOnly, after: 2 * time.Second,
		set: func(f *Faults) { f.BankWelded[5] = true },
		check: func(t *testing.T, _, ill state) {
			assert.Equal(t, hal.Bank(5), ill.Emitting)
		}},
	{name: "bank drift", want: emitting, after: 2 * time.Second,
		set: func(f *Faults) { f.BankDrift[0] = -0.2 },
		check: func(t *testing.T, well, ill state) {
			assert.InDelta(t, 0.8*well.BankWatts[0], ill.BankWatts[0], 1e-9)
			assert.Equal(t, well.BankWatts[1], ill.BankWatts[1])
		}},
	{name: "contactor welded", want: allOff, after: 2 * time.Second,
		set: func(f *Faults) { f.ContactorWelded = true },
		check: func(t *testing.T, well, ill state) {
			assert.Equal(t, hal.Open, well.Contacts.ContactorAux)
			assert.Equal(t, hal.Closed, ill.Contacts.ContactorAux)
			assert.True(t, ill.ContactorClosed)
		}},
	{name: "contactor will not close", want: heating, after: 2 * time.Second,
		set: func(f *Faults) { f.ContactorWontClose, f.ContactorWelded = true, true },
		check: func(t *testing.T, _, ill state) {
			assert.Equal(t, hal.Open, ill.Contacts.ContactorAux)
			assert.Zero(t, ill.HeaterWatts)
		}},
	{name: "leak", want: airOnly, after: 10 * time.Second,
		set: func(f *Faults) { f.LeakRate = 1 },
		check: func(t *testing.T, well, ill state) {
			assert.InDelta(t, 1.0/6, ill.LitresOnFloor, 1e-3)
			assert.InDelta(t, well.Litres-1.0/6, ill.Litres, 1e-3)
			assert.Equal(t, hal.Closed, well.Contacts.LeakDry)
			assert.Equal(t, hal.Open, ill.Contacts.LeakDry)
		}},
	{name: "leak that has not reached its sensor", want: airOnly, after: 2 * time.Second,
		set: func(f *Faults) { f.LeakRate = 1 },
		check: func(t *testing.T, _, ill state) {
			assert.Equal(t, hal.Closed, ill.Contacts.LeakDry)
		}},
	{name: "drain open", want: airOnly, after: 3 * time.Minute,
		set: func(f *Faults) { f.DrainRate = 3 },
		check: func(t *testing.T, well, ill state) {
			assert.InDelta(t, well.Litres-9, ill.Litres, 0.01)
			assert.Zero(t, ill.LitresOnFloor)
			assert.Equal(t, hal.Open, ill.Contacts.LevelOK)
		}},
	{name: "somebody pours hot water in", want: airOnly, after: time.Minute,
		set: func(f *Faults) { f.PourRate, f.PourTemperature = 4, zero+80 },
		check: func(t *testing.T, well, ill state) {
			// 4 litres of 80 degC into 19.8 of some 20 degC.
			assert.InDelta(t, well.Litres+4, ill.Litres, 0.15)
			assert.InDelta(t, 60*4/23.8, ill.Bath-well.Bath, 0.5)
		}},
	{name: "float stuck closed", want: airOnly, after: 3 * time.Minute,
		set: func(f *Faults) { f.FloatStuck, f.DrainRate = StuckOK, 3 },
		check: func(t *testing.T, _, ill state) {
			assert.Less(t, ill.Level, 0.07)
			assert.Equal(t, hal.Closed, ill.Contacts.LevelOK)
		}},
	{name: "float stuck low", want: airOnly, after: time.Second,
		set:  func(f *Faults) { f.FloatStuck = StuckLow },
		only: []string{"Contacts"},
		check: func(t *testing.T, _, ill state) {
			assert.Equal(t, hal.Open, ill.Contacts.LevelOK)
		}},
	{name: "lid open", want: heating, after: 2 * time.Minute,
		set: func(f *Faults) { f.LidOpen = true },
		check: func(t *testing.T, well, ill state) {
			assert.Equal(t, hal.Open, ill.Contacts.LidClosed)
			assert.Greater(t, ill.LitresEvaporated, 3*well.LitresEvaporated)
			assert.Less(t, ill.Bath, well.Bath)
		}},
	{name: "lid sensor stuck", want: airOnly, after: time.Second,
		set: func(f *Faults) { f.LidOpen, f.LidSensorStuck = true, true },
		check: func(t *testing.T, _, ill state) {
			assert.False(t, ill.LidOn)
			assert.Equal(t, hal.Closed, ill.Contacts.LidClosed)
		}},
	{name: "stop loop open", want: emitting, after: time.Second,
		set: func(f *Faults) { f.StopOpen = true },
		check: func(t *testing.T, _, ill state) {
			assert.Equal(t, hal.Open, ill.Contacts.StopClosed)
			assert.False(t, ill.ContactorClosed)
			assert.Zero(t, ill.Emitting)
		}},
	{name: "leak sensor open", want: airOnly, after: time.Second,
		set:  func(f *Faults) { f.LeakSensorOpen = true },
		only: []string{"Contacts"},
		check: func(t *testing.T, _, ill state) {
			assert.Equal(t, hal.Open, ill.Contacts.LeakDry)
		}},
	{name: "mains low", want: heating, after: 2 * time.Second,
		set: func(f *Faults) { f.MainsVolts = 207 },
		check: func(t *testing.T, _, ill state) {
			assert.InDelta(t, 207, float64(ill.Meter.Volts.Value)/float64(physic.Volt), 2)
			assert.InDelta(t, 810, ill.HeaterWatts, 20) // (207/230)^2 of 1000 W
		}},
	{name: "mains out", want: emitting, after: 20 * time.Second,
		set: func(f *Faults) { f.MainsOut = true },
		check: func(t *testing.T, _, ill state) {
			assert.Zero(t, ill.TotalWatts)
			assert.False(t, ill.ContactorClosed)
			assert.False(t, ill.Meter.Watts.Valid)
			assert.Less(t, ill.FanSpeed[0], 30.0)
		}},
	{name: "kept state unreadable", want: airOnly, after: tick,
		set:   func(f *Faults) { f.KeptBad = true },
		only:  []string{"KeptOK"},
		check: func(t *testing.T, _, ill state) { assert.False(t, ill.KeptOK) }},
	{name: "record unwritable", want: airOnly, after: tick,
		set:   func(f *Faults) { f.RecordBad = true },
		only:  []string{"RecordOK"},
		check: func(t *testing.T, _, ill state) { assert.False(t, ill.RecordOK) }},
	{name: "output reads back wrong", want: airOnly, after: tick,
		set:   func(f *Faults) { f.OutputsBad = true },
		only:  []string{"OutputsOK"},
		check: func(t *testing.T, _, ill state) { assert.False(t, ill.OutputsOK) }},
}
