package machine

import (
	"time"

	"bathtender/hal/board/pulsemeter"
	"bathtender/hal/quantity"
)

// fastest is the least time from one pulse to the next: 30 ms of pulse and 30 ms
// of gap (IEC 62053-31, from memory; the manuals of several meters say the same).
const fastest = 60 * time.Millisecond

// checkPulses demands that a pulse meter gives enough pulses to show each bank
// within the time that it is said to refresh its reading in, and not more than
// its output can give at the most that it shows.
func (r *reader) checkPulses() {
	meter, t := &r.m.Meter, r.meter
	if meter.Kind != PulseMeter || !t.Good("pulses_per_kwh", "refresh") {
		return
	}
	said := t.Ref("pulses_per_kwh")
	for i, bank := range r.banks {
		draw := r.m.Banks[i].Draw
		if !bank.Good("draw") || pulsemeter.Power(meter.Pulses, meter.Refresh) <= draw {
			continue
		}
		least := (pulsemeter.Power(1, meter.Refresh) + draw - 1) / draw
		t.Report("pulses_per_kwh", "%s is too few to show %s within %s, allowed is %d or more, or a longer refresh",
			said, bank.Ref("draw"), t.Ref("refresh"), least)
		return
	}
	if most := pulsemeter.Power(meter.Pulses, fastest); meter.Max != 0 && most < meter.Max {
		t.Report("pulses_per_kwh", "%s is too many: pulses of 30 ms with gaps of 30 ms show %s at most and the meter must show %s, allowed is %d or less",
			said, quantity.FormatPower(most), quantity.FormatPower(meter.Max), pulsemeter.Power(1, fastest)/meter.Max)
	}
}
