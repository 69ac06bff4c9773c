package prooftest

import (
	"fmt"
	"time"

	"bathtender/hal"
	"bathtender/hal/quantity"
	"bathtender/interlock"
)

// conversion is how often a probe gives a new value: 750 ms for a 12-bit 1-Wire
// digital thermometer (its datasheet, from memory), and the time to ask for it.
const conversion = time.Second

// resting are the functions that are tried while nothing runs.
func (p *planner) resting() {
	contacts := &p.machine.Contacts
	if contacts.Leak {
		p.add(Step{Function: interlock.Leak,
			Do:       "wet the leak sensor with a damp cloth",
			PutRight: "dry the leak sensor", Stands: opens("leak sensor")})
	}
	if contacts.Lid {
		p.add(Step{Function: interlock.LidOpen, Do: "open the lid", PutRight: "close the lid", Stands: opens("lid switch")})
	}
	for i, fitted := range p.config.Probes.Fitted {
		if !fitted {
			continue
		}
		p.add(Step{Function: interlock.ProbeFault, Place: i,
			Do:       "unplug " + interlock.EachProbe.It(i),
			PutRight: "plug " + interlock.EachProbe.It(i) + " in again", Stands: probeGone(i)})
	}
	if p.config.Probes.Fitted[hal.BathB] {
		apart := p.config.Probes.Apart
		p.add(Step{Function: interlock.ProbesDisagree, Lag: conversion,
			Do: fmt.Sprintf("take bath probe B out of the bath and stand it in a glass of water that is %s warmer or colder than the bath, not more: a faster change is taken for a broken probe",
				quantity.FormatTemperatureDifference(2*apart)),
			PutRight: "hang bath probe B in the bath again, and wait until both read alike", Stands: probesApart(apart)})
	}
	p.add(Step{Function: interlock.MeterFault, Do: "unplug the meter's data plug, not its mains", PutRight: "plug the meter in again", Stands: meterGone})
	p.required(func(i int) {
		fan := interlock.EachFan.It(i)
		p.add(Step{Function: interlock.AirflowStuck, Place: i,
			Do: fmt.Sprintf("with all fans off, drive %s with a hair dryer or compressed air, its tach over %s, for %s",
				fan, quantity.FormatSpeed(p.config.Fans.Silent), quantity.FormatDuration(p.config.Delay[interlock.AirflowStuck]+5*time.Second)),
			PutRight: "let " + fan + " come to rest", Stands: fanOver(i, p.config.Fans.Silent)})
	})
	if contacts.HeatSwitches {
		p.add(Step{Function: interlock.StopPressed, By: "heat switches",
			Do:       "unplug the thermal switches of the drivers' heat sinks from the stop loop",
			PutRight: "plug the thermal switches in again", Stands: opens("stop loop")})
	}
}

// heating are the functions that are tried in a preheat.
func (p *planner) heating() {
	contacts := &p.machine.Contacts
	p.add(Step{Function: interlock.StopPressed, State: p.inSession(),
		Do: "press the stop button; where there are several, another one at each proof test", PutRight: "release the stop button", Stands: opens("stop loop")})
	if contacts.Float {
		p.add(Step{Function: interlock.LevelLow, State: p.inSession(),
			Do:       "lift the float switch out of the liquid, so that its float hangs down",
			PutRight: "put the float switch back in its place", Stands: opens("float switch")})
	}
	if contacts.Aux && p.inSession() == Heating {
		p.add(Step{Function: interlock.ContactorDisagrees, State: Heating,
			Do:       "unplug the contactor's auxiliary contact at the board, never at the contactor",
			PutRight: "plug the auxiliary contact in again", Stands: auxLost})
	}
	if p.machine.Heater.Power != 0 {
		p.add(Step{Function: interlock.HeaterSilent, State: Heating, Lag: p.refresh() + p.config.Power.Settle,
			Do:       "switch the heater off at its own isolator; without one, answer skip",
			PutRight: "switch the heater's isolator on again", Stands: p.heaterGone()})
	}
	p.required(func(i int) {
		fan := interlock.EachFan.It(i)
		p.add(Step{Function: interlock.AirflowLost, Place: i, State: p.inSession(),
			Do: "unplug the tach of " + fan, PutRight: "plug the tach of " + fan + " in again",
			Stands: fanUnder(i, p.config.Fans.Minimum[i])})
	})
}

// starting are the functions that only a start asks for.
func (p *planner) starting() {
	p.required(func(i int) {
		fan := interlock.EachFan.It(i)
		p.add(Step{Function: interlock.AirflowNotProven, Place: i, State: Starting,
			Do: "unplug the tach of " + fan, PutRight: "plug the tach of " + fan + " in again",
			Stands: fanUnder(i, p.config.Fans.Minimum[i])})
	})
}
