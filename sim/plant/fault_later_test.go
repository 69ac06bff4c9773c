package plant

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
)

// drawnShort is what a bank with a short takes, in its own draws.
const drawnShort = 10

// deceivingRows are further faults of sensors, contacts and the board.
var deceivingRows = []faultRow{
	{name: "probe bus shorted", want: emitting, after: time.Second,
		set:  func(f *Faults) { f.ProbeShorted = true },
		only: []string{"Probes"},
		check: func(t *testing.T, well, ill state) {
			assert.True(t, well.Probes[hal.BathB].Valid)
			assert.Equal(t, [hal.MaxProbes]hal.Reading[physic.Temperature]{}, ill.Probes, "none answers")
		}},
	{name: "probe bus loses everything", want: emitting, after: 10 * time.Second,
		set:  func(f *Faults) { f.ProbeBusLoss = 1 },
		only: []string{"Probes"},
		check: func(t *testing.T, well, ill state) {
			// A conversion of 12 bits with its read-out takes 0.8 s.
			for i := range ill.Probes {
				assert.True(t, ill.Probes[i].Valid, "what came before is still there")
				assert.Less(t, well.Probes[i].Age, 800*time.Millisecond)
				assert.GreaterOrEqual(t, ill.Probes[i].Age, 10*time.Second, "and tells its age")
			}
		}},
	{name: "meter garbage", want: emitting, after: time.Second,
		set:  func(f *Faults) { f.MeterGarbage = true },
		only: []string{"Meter"},
		check: func(t *testing.T, well, ill state) {
			// All ones in a register of 16 bits and tenths.
			assert.Equal(t, 6553.5, watt(ill))
			assert.Equal(t, 6553500*physic.MilliVolt, ill.Meter.Volts.Value)
			assert.True(t, ill.Meter.Watts.Valid && ill.Meter.Volts.Valid, "it looks like an answer")
			assert.Equal(t, well.Meter.Watts.Age, ill.Meter.Watts.Age)
		}},
	{name: "meter late", want: allOff, after: 3400 * time.Millisecond,
		set:  func(f *Faults) { f.MeterLate = 3 },
		only: []string{"Meter"},
		check: func(t *testing.T, well, ill state) {
			assert.Equal(t, 6.0, watt(well))
			assert.InDelta(t, 1500, watt(ill), 25, "what it was before")
			assert.Equal(t, 3400*time.Millisecond, ill.Meter.Watts.Age)
			assert.True(t, ill.Meter.Watts.Valid)
		}},
	{name: "contactor aux stuck closed", want: allOff, after: time.Second,
		set:  func(f *Faults) { f.AuxStuck = StuckOK },
		only: []string{"Contacts"},
		check: func(t *testing.T, _, ill state) {
			assert.False(t, ill.ContactorClosed)
			assert.Equal(t, hal.Closed, ill.Contacts.ContactorAux)
		}},
	{name: "contactor aux stuck open", want: heating, after: time.Second,
		set:  func(f *Faults) { f.AuxStuck = StuckLow },
		only: []string{"Contacts"},
		check: func(t *testing.T, _, ill state) {
			assert.True(t, ill.ContactorClosed)
			assert.Equal(t, hal.Open, ill.Contacts.ContactorAux)
		}},
	{name: "lid switch open", want: heating, after: time.Second,
		set:  func(f *Faults) { f.LidSensorOpen = true },
		only: []string{"Contacts"},
		check: func(t *testing.T, _, ill state) {
			assert.True(t, ill.LidOn)
			assert.Equal(t, hal.Open, ill.Contacts.LidClosed)
		}},
	{name: "leak sensor stuck", want: airOnly, after: 10 * time.Second,
		set: func(f *Faults) { f.LeakRate, f.LeakSensorStuck = 1, true },
		check: func(t *testing.T, _, ill state) {
			assert.InDelta(t, 1.0/6, ill.LitresOnFloor, 1e-3)
			assert.Equal(t, hal.Closed, ill.Contacts.LeakDry)
		}},
	{name: "stop loop bridged", want: emitting, after: time.Second, asleep: true,
		set: func(f *Faults) { f.StopOpen, f.StopBridged = true, true },
		check: func(t *testing.T, _, ill state) {
			// As if nobody had pressed it.
			assert.Equal(t, hal.Closed, ill.Contacts.StopClosed)
			assert.Equal(t, hal.FirstBanks(6), ill.Emitting)
		}},
	{name: "heartbeat relay welded while it beats", want: emitting, after: time.Second, asleep: true,
		set: func(f *Faults) { f.HeartbeatWelded = true },
		check: func(t *testing.T, _, ill state) {
			assert.True(t, ill.ContactorClosed)
		}},
	{name: "lease stuck while outputs are renewed", want: emitting, after: time.Second, asleep: true,
		set: func(f *Faults) { f.LeaseStuck = true },
		check: func(t *testing.T, _, ill state) {
			assert.False(t, ill.OutputsFallen)
		}},
}

// loadRows are further faults of loads, room and mains.
var loadRows = []faultRow{
	{name: "one emitter loose", want: emitting, after: 2 * time.Minute,
		set: func(f *Faults) { f.EmittersLoose[2] = 1 },
		check: func(t *testing.T, well, ill state) {
			// One of two draws as much as one without liquid, 45 %.
			assert.InDelta(t, (1+0.45)/2*well.BankWatts[2], ill.BankWatts[2], 1e-9)
			assert.Equal(t, "111111", ill.Emitting.Text(6))
			assert.Greater(t, ill.Joint[2], well.Joint[2]+10, "it heats itself")
			assert.InDelta(t, well.Joint[3], ill.Joint[3], 0.1, "the bank beside it is as it was")
			assert.Equal(t, well.BankWatts[3], ill.BankWatts[3])
		}},
	{name: "bank shorted", want: emitting, after: tick,
		set: func(f *Faults) { f.BankShorted[4] = true },
		check: func(t *testing.T, well, ill state) {
			assert.InDelta(t, drawnShort*well.BankWatts[4], ill.BankWatts[4], 1e-9)
			assert.InDelta(t, 810, ill.BankWatts[4], 20)
			assert.Equal(t, well.BankWatts[3], ill.BankWatts[3])
		}},
	{name: "bank shorted, fuse blown", want: emitting, after: 300 * time.Millisecond,
		set: func(f *Faults) { f.BankShorted[4] = true },
		check: func(t *testing.T, well, ill state) {
			assert.Zero(t, ill.BankWatts[4])
			assert.Equal(t, "111101", ill.Emitting.Text(6))
			assert.Equal(t, well.BankWatts[3], ill.BankWatts[3])
		}},
	{name: "draught", want: airOnly, after: time.Minute,
		set: func(f *Faults) { f.LidOpen, f.Draught = true, 2 },
		check: func(t *testing.T, well, ill state) {
			assert.Greater(t, ill.LitresEvaporated, 6*well.LitresEvaporated)
			assert.Less(t, ill.Bath, well.Bath)
		}},
	{name: "mains dips for 20 ms", want: busy, after: tick,
		set: func(f *Faults) { f.MainsDip = 0.02 },
		check: func(t *testing.T, well, ill state) {
			assert.True(t, ill.ContactorClosed, "it rides through")
			assert.InDelta(t, 0.8*well.TotalWatts, ill.TotalWatts, 4, "a fifth of the tick is gone")
			assert.InDelta(t, 0.8*well.MainsVolts, ill.MainsVolts, 1e-9)
			assert.Equal(t, hal.FirstBanks(6), ill.Emitting)
		}},
	{name: "mains has dipped for 20 ms", want: busy, after: 200 * time.Millisecond,
		set: func(f *Faults) { f.MainsDip = 0.02 },
		check: func(t *testing.T, well, ill state) {
			assert.Equal(t, well.MainsVolts, ill.MainsVolts, "once is all")
			assert.Equal(t, well.HeaterWatts, ill.HeaterWatts)
			assert.Equal(t, well.BankWatts, ill.BankWatts)
		}},
	{name: "mains dips for 0.5 s", want: busy, after: 500 * time.Millisecond,
		set: func(f *Faults) { f.MainsDip = 0.5 },
		check: func(t *testing.T, _, ill state) {
			assert.Zero(t, ill.TotalWatts)
			assert.Zero(t, ill.MainsVolts)
			assert.False(t, ill.ContactorClosed)
			assert.Equal(t, hal.Open, ill.Contacts.ContactorAux)
		}},
	{name: "mains has dipped for 0.5 s", want: busy, after: time.Second,
		set: func(f *Faults) { f.MainsDip = 0.5 },
		check: func(t *testing.T, well, ill state) {
			// The outputs are still commanded here: latching is not the board's.
			assert.True(t, ill.ContactorClosed)
			assert.Equal(t, well.HeaterWatts, ill.HeaterWatts)
			assert.Less(t, ill.FanSpeed[0], well.FanSpeed[0])
		}},
}

// drivenRows are faults of the board's program and its owner, which whoever
// drives the loop makes so (sim/drive tests them): the plant knows nothing of
// them.
var drivenRows = []faultRow{
	{name: "tick late", set: func(f *Faults) { f.TickLate = 1 }},
	{name: "program stopped", set: func(f *Faults) { f.ProgramStopped = true }},
	{name: "program killed", set: func(f *Faults) { f.ProgramKilled = true }},
	{name: "reset held", set: func(f *Faults) { f.ResetHeld = true }},
}

func TestFaultsOfTheProgramChangeNothingInThePlant(t *testing.T) {
	for _, row := range drivenRows {
		row.want, row.after = busy, time.Second
		well, ill := runFault(t, row)
		assert.Equal(t, well, ill, "%s", row.name)
	}
}
