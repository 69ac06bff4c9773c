package machine

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/tomlfile"
	"bathtender/hal"
	"bathtender/hal/quantity"
)

// check looks for values that are each possible but do not go together. A value
// that is already reported is left out of it.
func (r *reader) check() {
	r.checkCounts()
	r.checkTank()
	r.checkMains()
	r.checkFans()
	r.checkTemperatures()
	r.checkOrder()
	r.checkTimes()
	r.checkMeter()
	r.checkLoad()
	r.checkWatchdog()
	r.checkPulses()
}

func (r *reader) checkCounts() {
	count := func(key string, tables []*tomlfile.Table, most int, what string) {
		root := r.file.Root()
		switch n := len(tables); {
		case n == 0 && !root.Has(key):
			r.file.Report(root.At(), "there is no [[%s]], allowed are 1 to %d %s", key, most, what)
		case n > most:
			r.file.Report(tables[most].At(), "[[%s]] %d is one too many, allowed are 1 to %d %s", key, most+1, most, what)
		}
	}
	count("bank", r.banks, hal.MaxBanks, "banks")
	count("fan", r.fans, hal.MaxFans, "fans")
}

func (r *reader) checkTank() {
	t, tank := r.tank, &r.m.Tank
	if tank.Fill >= tank.Depth {
		r.file.Contradict(t.Ref("fill"), "is not under", t.Ref("depth"), "the liquid must stay under the rim")
	}
	if r.m.Contacts.Lid && !tank.Lid {
		r.file.Contradict(r.contacts.Ref("lid"), "does not go with", t.Ref("lid", "false"), "a lid switch needs a lid")
	}
	if tank.Minimum >= tank.Fill {
		r.file.Contradict(t.Ref("minimum"), "is not under", t.Ref("fill"), "the least height must be under the usual one")
	}
}

func (r *reader) checkMains() {
	t, mains := r.mains, &r.m.Mains
	if mains.Low >= mains.Nominal {
		r.file.Contradict(t.Ref("low"), "is not under", t.Ref("nominal"), "the lower limit must be under the nominal voltage")
	}
	if mains.High <= mains.Nominal {
		r.file.Contradict(t.Ref("high"), "is not over", t.Ref("nominal"), "the upper limit must be over the nominal voltage")
	}
	// EN 50160 lets the mains fall to 85 % of nominal and rise to 110 % (from
	// memory); drivers and contactors are not made for more.
	if least := mains.Nominal / 100 * 85; mains.Low < least {
		r.file.Contradict(t.Ref("low"), "is under 85 % of", t.Ref("nominal"), "allowed is "+quantity.FormatVoltage(least)+" or more")
	}
	if most := mains.Nominal / 100 * 110; mains.High > most {
		r.file.Contradict(t.Ref("high"), "is over 110 % of", t.Ref("nominal"), "allowed is "+quantity.FormatVoltage(most)+" or less")
	}
	if f := mains.Frequency; f != 50*physic.Hertz && f != 60*physic.Hertz && t.Good("frequency") {
		t.Report("frequency", "%s is no mains frequency, allowed are 50 Hz and 60 Hz", t.Ref("frequency"))
	}
}

func (r *reader) checkFans() {
	required, said := 0, false
	for i, t := range r.fans {
		fan := &r.m.Fans[i]
		if fan.Minimum >= fan.Nominal {
			r.file.Contradict(t.Ref("minimum"), "is not under", t.Ref("nominal"), "a fan at its minimum must turn slower than usual")
		}
		if !said && r.m.Limits.TachSilent >= fan.Minimum {
			said = true // once is enough
			r.file.Contradict(r.limits.Ref("tach_silent"), "is not under", t.Ref("minimum"), "a standing fan must not look like a turning one")
		}
		if fan.Required {
			required++
		}
	}
	if len(r.fans) > 0 && required == 0 {
		r.fans[0].Report("required", "required is false for every fan, at least one must be required: emitters must not run without moving air")
	}
}

func (r *reader) checkTemperatures() {
	t, limits := r.limits, &r.m.Limits
	if limits.CabinetCool >= limits.Cabinet {
		r.file.Contradict(t.Ref("cabinet_cool"), "is not under", t.Ref("cabinet"), "the cabinet must be cooler than its limit at the end of the run-on")
	}
	// The power-on value is never taken for a reading, so the bath limit must
	// be reached before it.
	if a := r.probes[hal.BathA]; r.m.Probes[hal.BathA].Kind == OneWire && limits.Bath > powerOnValue-2*physic.Kelvin {
		r.file.Contradict(t.Ref("bath"), "is too near the 85 °C power-on value of", a.Ref("kind"), "allowed is 83 °C or less")
	}
	if flash := r.m.Liquid.FlashPoint; flash != 0 && flash < limits.Bath+flashMargin {
		r.file.Contradict(r.liquid.Ref("flash_point"), "is not 15 K over", t.Ref("bath"),
			"a bath that can come near its flash point must be neither heated nor exposed to emission")
	}
}

// checkOrder demands tick < deadline < lease < watchdog < hazard: a late tick is
// seen before an output falls off, an output falls off before the watchdog acts,
// and all of it before the fastest hazard does harm.
func (r *reader) checkOrder() {
	t, times := r.timings, &r.m.Timings
	order := []struct {
		key string
		of  time.Duration
		ref tomlfile.Ref
	}{
		{"tick", times.Tick, t.Ref("tick", quantity.FormatDuration(defaultTick))},
		{"deadline", times.Deadline, t.Ref("deadline")},
		{"lease", times.Lease, t.Ref("lease")},
		{"watchdog", times.Watchdog, t.Ref("watchdog")},
		{"hazard", times.Hazard, t.Ref("hazard")},
	}
	for i := 1; i < len(order); i++ {
		if order[i-1].of >= order[i].of {
			r.file.Contradict(order[i-1].ref, "is not shorter than", order[i].ref,
				"the order must be tick, deadline, lease, watchdog, hazard from short to long")
		}
	}
}

func (r *reader) checkTimes() {
	t, times := r.timings, &r.m.Timings
	if times.RunOnLeast > times.RunOnMost {
		r.file.Contradict(t.Ref("run_on_least"), "is longer than", t.Ref("run_on_most"), "the least run-on must not be longer than the most")
	}
	if settle := r.m.settle(); times.Stagger < settle {
		r.file.Contradict(t.Ref("stagger", quantity.FormatDuration(defaultStagger)), "is too short to see one bank's step with", r.meter.Ref("refresh"),
			"allowed is "+quantity.FormatDuration(settle)+" or more: two readings and 300 ms")
	}
	// A welded relay shows while the contactor is closed with everything else
	// off, and must be found in that time.
	for _, f := range weldedFunctions {
		if needed := r.m.Delays[f] + r.m.settle() + r.m.Meter.Refresh; times.Watch < needed && r.timings.Good("watch") && r.meter.Good("refresh") {
			t.Report("watch", "%s is too short for the %s of %q after the meter has settled, allowed is %s or more",
				t.Ref("watch"), quantity.FormatDuration(r.m.Delays[f]), f.Name(), quantity.FormatDuration(needed))
			break
		}
	}
}

// checkMeter demands that the meter can show what is to be seen with it.
func (r *reader) checkMeter() {
	for i, t := range r.banks {
		bank := &r.m.Banks[i]
		missing := bank.Draw / 1000 * physic.Power(1000-r.m.Limits.BankShort)
		if r.m.Meter.Resolution*4 > missing && r.limits.Good("bank_short") {
			r.file.Contradict(r.meter.Ref("resolution"), "is too coarse to see a shortage of", t.Ref("draw"),
				"allowed is "+quantity.FormatPower(missing/4)+" or finer: a quarter of what a short bank lacks")
			break // once is enough
		}
	}
	// What the banks may be off by must not hide half of the heater, or feign it.
	var banks physic.Power
	for _, bank := range r.m.Banks {
		banks += bank.Draw
	}
	if least := 2 * (unexplained + banks/1000*tolerance); r.m.Heater.Power < least && r.heater.Good("power") && r.allGood(r.banks, "draw") {
		r.heater.Report("power", "%s is too small to be told apart at the meter from the tolerance of the banks, allowed is %s or more",
			r.heater.Ref("power"), quantity.FormatPower(least))
	}
}

// checkLoad demands that the outlet carries everything at once.
func (r *reader) checkLoad() {
	for i, t := range r.banks {
		bank := &r.m.Banks[i]
		rating := physic.Power(bank.Emitters) * bank.Emitter
		if !t.Good("draw", "emitters", "emitter") {
			continue
		}
		if bank.Draw < rating/2 || bank.Draw > 2*rating {
			r.file.Contradict(t.Ref("draw"), "is far from the "+quantity.FormatPower(rating)+" that its emitters make with", t.Ref("emitter"),
				"allowed are "+quantity.FormatPower(rating/2)+" to "+quantity.FormatPower(2*rating))
		}
	}
	if !r.mains.Good("nominal", "outlet") || !r.allGood(r.banks, "draw") || !r.allGood(r.fans, "draw") || r.heater != nil && !r.heater.Good("power") {
		return
	}
	load := r.m.load()
	if amperes := current(load, r.m.Mains.Nominal); amperes > r.m.Mains.Outlet {
		r.mains.Report("outlet", "%s is less than the %s that everything on takes (%s at %s), allowed is a larger outlet or less load",
			r.mains.Ref("outlet"), quantity.FormatCurrent(amperes),
			quantity.FormatPower(load), quantity.FormatVoltage(r.m.Mains.Nominal))
	}
	if most := r.m.Meter.Max; r.m.Meter.Max != 0 && r.meter.Good("max") && most < load/100*150 {
		r.meter.Report("max", "%s is under one and a half times the %s of everything on, allowed is %s or more",
			r.meter.Ref("max"), quantity.FormatPower(load), quantity.FormatPower(load/100*150))
	}
	if r.m.Meter.Max == 0 {
		r.m.Meter.Max = meterMax(&r.m.Mains, load)
	}
}

func (r *reader) allGood(tables []*tomlfile.Table, key string) bool {
	for _, t := range tables {
		if !t.Good(key) {
			return false
		}
	}
	return true
}
