package prooftest

import (
	"fmt"

	"bathtender/hal"
	"bathtender/hal/quantity"
	"bathtender/interlock"
)

// otherwise are the functions that cannot be provoked safely by hand in a cabinet
// under mains, and how each may be proven otherwise. They are never counted as passed.
func (p *planner) otherwise() {
	limits, power := &p.machine.Limits, &p.config.Power
	not := func(f interlock.Function, how string) { p.add(Step{Function: f, Otherwise: how}) }
	not(interlock.BathHighLimit, fmt.Sprintf("a bath over %s is no thing to try: give the probe's plug a signal instead, a decade box for a resistance probe; or warm a digital probe slowly in a glass of water to more than that and cool it with ice",
		quantity.FormatTemperature(limits.Bath)))
	not(interlock.BathAboveRecipe, "start a recipe whose limit is a few kelvins under the present bath: the heater must be held at once")
	not(interlock.BathFarAboveRecipe, fmt.Sprintf("start a recipe whose limit is more than %s under the present bath: emission must be held",
		quantity.FormatTemperatureDifference(p.config.Probes.EmissionAbove)))
	if p.config.Probes.Fitted[hal.Cabinet] {
		not(interlock.CabinetHot, fmt.Sprintf("warm the cabinet probe slowly in a glass of water to more than %s, or give its plug a signal",
			quantity.FormatTemperature(limits.Cabinet)))
	}
	if power.Heater != 0 {
		not(interlock.HeaterWillNotStop, fmt.Sprintf("an electrician lets a load of %s or more, behind the meter, stay on while the heater is commanded off; a welded relay itself is not made by hand",
			quantity.FormatPower(power.Heater/10*6)))
	}
	not(interlock.BankWillNotStop, "an electrician lets a lamp of the watts of one bank, behind the meter, stay on while all banks are commanded off")
	not(interlock.OverPower, "an electrician lets a load of half the heater's watts or more, behind the meter, run beside the heater")
	if power.ReportsVolts {
		not(interlock.MainsOutOfRange, fmt.Sprintf("an electrician feeds the cabinet from a variable transformer, under %s and over %s",
			quantity.FormatVoltage(power.Low), quantity.FormatVoltage(power.High)))
	}
	for i := range power.Banks {
		p.add(Step{Function: interlock.BankShort, Place: i, Otherwise: "in an ordinary clean, not in this walk: switch its driver off at its own isolator, and " +
			interlock.EachBank.It(i) + " must be named and taken out"})
	}
	not(interlock.BathTooSmall, "compare the litres that the heat balance shows after a preheat with a measured fill; a tank is not drained under its heater to try it")
	not(interlock.SessionTooLong, fmt.Sprintf("set the machine file's emission limit of %s to a minute and run a clean that is longer, then set it back",
		quantity.FormatDuration(limits.Emission)))
	not(interlock.LoopLate, fmt.Sprintf("with the heater on, stop the program for a second with the signal STOP and let it go on with CONT: the contactor must open after %s, and stay open",
		quantity.FormatDuration(p.machine.Timings.Lease)))
	not(interlock.KeptUnreadable, "on the bench of the simulator; on a copy of the journal, never on the journal itself")
	not(interlock.RecordUnwritable, "on the bench of the simulator, or with the journal on a card that has been mounted read-only: no session may start")
}
