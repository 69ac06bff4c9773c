package prove

import (
	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/interlock"
)

// finding is what the readings of one tick say of a cause.
type finding uint8

const (
	good    finding = iota // it is not there: its time drains, four times more slowly than it fills
	off                    // it does not apply now: its time starts anew
	bad                    // it is there
	blind                  // no reading, which counts as if it were there, and takes away at once
	covered                // no reading, for which another function answers: its time waits
	paused                 // it does not apply now, and its time waits
)

// stands reports whether a reset must be refused.
func (f finding) stands() bool { return f == bad || f == blind || f == covered }

// class is what a cause does once it has stood for its delay.
type class uint8

const (
	holds    class = iota // takes away while it stands
	trips                 // takes away until it is reset
	outlives              // does so over a restart too
)

// takes is what a cause takes away.
type takes uint8

const (
	takesStart takes = 1 << iota
	takesHeater
	takesEmission
	takesContactor
	takesBank
)

// cause is one cause as the design's table of protective functions has it,
// written down here for a second time: the search must not take it from the code
// that it searches.
type cause struct {
	function interlock.Function
	place    int
	slot     int
	class    class
	takes    takes
	delay    interlock.Timer
	find     func(v *world, place int) finding
}

// causesOf returns the causes of what a machine has, most drastic first.
func causesOf(rules *supervisor.Rules) []cause {
	c := &rules.Interlock
	const heat = takesHeater | takesEmission
	var list []cause
	add := func(f interlock.Function, places int, class class, takes takes, find func(*world, int) finding) {
		for place := range places {
			list = append(list, cause{f, place, interlock.SlotOf(f, place), class, takes, interlock.TimerOf(c.Delay[f]), find})
		}
	}
	one := func(fitted bool) int {
		if fitted {
			return 1
		}
		return 0
	}
	fans := 0
	for _, required := range c.Fans.Required {
		fans += one(required)
	}
	heater := one(rules.Timing.Heater)
	add(interlock.StopPressed, 1, trips, takesContactor, stopOpen)
	add(interlock.LoopLate, 1, trips, takesContactor, tickLate)
	add(interlock.Leak, one(c.LeakFitted), trips, takesContactor, wet)
	add(interlock.KeptUnreadable, 1, outlives, takesContactor, keptLost)
	add(interlock.BathHighLimit, 1, outlives, takesContactor, bathHigh)
	add(interlock.ContactorDisagrees, one(c.AuxFitted), outlives, takesContactor, auxDisagrees)
	add(interlock.HeaterWillNotStop, heater, outlives, takesContactor, heaterStays)
	add(interlock.BankWillNotStop, 1, outlives, takesContactor, bankStays)
	add(interlock.AirflowLost, fans, trips, takesEmission, airLost)
	add(interlock.AirflowNotProven, fans, trips, takesEmission, airNotProven)
	add(interlock.AirflowStuck, fans, trips, takesStart, airStuck)
	add(interlock.LevelLow, one(c.FloatFitted), trips, heat, floatDown)
	add(interlock.BathTooSmall, 1, trips, heat, tooSmall)
	add(interlock.ProbeFault, hal.MaxProbes, trips, heat, probeBad)
	add(interlock.ProbesDisagree, 1, trips, heat, probesApart)
	add(interlock.MeterFault, 1, trips, heat, meterBad)
	add(interlock.OverPower, 1, trips, heat, tooManyWatts)
	add(interlock.MainsOutOfRange, 1, holds, heat, mainsOut)
	add(interlock.HeaterSilent, heater, trips, takesHeater, heaterDead)
	add(interlock.BankShort, c.Power.Banks, outlives, takesBank, bankLow)
	add(interlock.CabinetHot, 1, trips, takesEmission, cabinetWarm)
	add(interlock.BathAboveRecipe, 1, holds, takesHeater, aboveRecipe)
	add(interlock.BathFarAboveRecipe, 1, holds, takesEmission, farAboveRecipe)
	add(interlock.LidOpen, one(c.LidFitted), holds, takesEmission, lidUp)
	add(interlock.SessionTooLong, 1, trips, takesEmission, emittedTooLong)
	add(interlock.RecordUnwritable, 1, holds, takesStart, recordLost)
	if len(list) > causesMost {
		panic("more causes than a monitor has room for") // of a view's own making, and tested
	}
	return list
}

// loads are the loads that are taken away, without the contactor.
func (t takes) loads() takes {
	if t&takesContactor != 0 {
		return takesHeater | takesEmission
	}
	return t
}

// allowed reports whether the outputs leave alone what is taken away.
func (t takes) allowed(out hal.Outputs, place int) bool {
	switch {
	case t&takesContactor != 0 && (out.Contactor || out.Heater || out.Banks != 0):
		return false
	case t&takesHeater != 0 && out.Heater:
		return false
	case t&takesEmission != 0 && out.Banks != 0:
		return false
	case t&takesBank != 0 && out.Banks.Has(place):
		return false
	}
	return true
}
