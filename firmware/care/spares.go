package care

import (
	"fmt"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal/quantity"
	"bathtender/interlock"
)

// spare says which part a bank asks for. The wattmeter sees a bank's watts alone, so
// what it is can only be guessed from how much is missing: a bond that ages or an emitter
// that fails takes the watts of one emitter at a time, a driver that fails takes all of
// them (common practice, no source).
func spare(place int, b *Bank) string {
	bank := interlock.EachBank.It(place)
	emitter := fmt.Sprintf("%s %s emitter", quantity.FormatPower(b.Emitter), quantity.FormatFrequency(b.Frequency))
	d := &b.Drift
	switch {
	case b.OutOfService:
		return fmt.Sprintf("%s is out of service: find out whether its driver or an emitter has failed before ordering; it has %s of %s",
			bank, quantity.Count(b.Emitters, "emitter"), quantity.FormatPower(b.Emitter))
	case !d.Known || !d.Warn:
		return ""
	case d.Shift > 0:
		return fmt.Sprintf("%s takes %s more than its %s baseline: have its driver and the bonds of its emitters looked at before ordering anything",
			bank, quantity.FormatPower(d.Shift), quantity.FormatPower(d.Baseline))
	}
	count := worth(d.Baseline-d.Level, d.Baseline, b.Emitters)
	left := ""
	if d.Foreseen {
		left = fmt.Sprintf(", about %s until its trip limit", quantity.Count(d.SessionsLeft, "session"))
	}
	return fmt.Sprintf("%s takes %s less than its %s baseline%s: order %s for %s, and adhesive for the bond",
		bank, quantity.FormatPower(d.Baseline-d.Level), quantity.FormatPower(d.Baseline), left, counted(count, emitter), bank)
}

// worth is how many emitters' watts are missing, 1 at least and all at most.
func worth(missing, baseline physic.Power, emitters int) int {
	if emitters < 1 || baseline <= 0 {
		return 1
	}
	each := baseline / physic.Power(emitters)
	return min(max(int((missing+each/2)/max(each, 1)), 1), emitters)
}

func counted(n int, thing string) string {
	if n == 1 {
		return "one " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}
