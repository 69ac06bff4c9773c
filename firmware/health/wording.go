package health

import (
	"fmt"
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
	"bathtender/hal/quantity"
	"bathtender/interlock"
)

// Sentence returns a finding in plain words: "bank 3 is 41 W short of its 81 W
// baseline: one emitter's worth".
func (e Event) Sentence() string {
	bank := interlock.EachBank.It(int(e.Place))
	value, base := quantity.FormatPower(physic.Power(e.Value)), quantity.FormatPower(physic.Power(e.Base))
	short := quantity.FormatPower(physic.Power(e.Base - e.Value))
	switch e.Kind {
	case EmittersShort:
		worth := "one emitter's worth"
		if e.Count > 1 {
			worth = fmt.Sprintf("%d emitters' worth", e.Count)
		}
		return fmt.Sprintf("%s is %s short of its %s baseline: %s", bank, short, base, worth)
	case BankGone:
		return fmt.Sprintf("%s is %s short of its %s baseline: the whole bank", bank, short, base)
	case AllUnloaded:
		return fmt.Sprintf("all banks together take %s of their %s: no liquid loads them, the tank is dry or drained", value, base)
	case RelayStuck:
		return fmt.Sprintf("%s was switched off and its %s stayed: its relay does not open", bank, base)
	case HeaterShort:
		return fmt.Sprintf("the heater takes %s of its %s: a part of its element is open", value, base)
	case MoreThanDue:
		return fmt.Sprintf("%s takes %s, %s more than its baseline: something unknown", bank, value, quantity.FormatPower(physic.Power(e.Value-e.Base)))
	case Unexplained:
		return fmt.Sprintf("%s of the banks' %s are missing and no bank explains it: something unknown", value, base)
	case PouredIn:
		return fmt.Sprintf("the bath fell by %s at once, to %s: liquid was poured in",
			quantity.FormatTemperatureDifference(physic.Temperature(e.Value)), quantity.FormatTemperature(physic.ZeroCelsius+physic.Temperature(e.Base)))
	case ProbeOut:
		return fmt.Sprintf("%s has fallen %s behind the other: it hangs out of the liquid", interlock.EachProbe.It(int(e.Place)),
			quantity.FormatTemperatureDifference(physic.Temperature(e.Base-e.Value)))
	case Drifting:
		left := "when it reaches its trip limit is not foreseen"
		if e.Count > 0 {
			left = fmt.Sprintf("about %d sessions until its trip limit", e.Count)
		}
		return fmt.Sprintf("%s drifts: it takes %s against its %s baseline, %s", bank, value, base, left)
	case ShortHanded:
		litres := float64(e.Base) / float64(hal.Litre)
		perLitre := "the liquid is not known"
		if litres > 0 {
			perLitre = fmt.Sprintf("%.1f W/l", float64(e.Value)/float64(physic.Watt)/litres)
		}
		return fmt.Sprintf("%d of %d banks are in service: %s, %s", e.Count, e.Place, value, perLitre)
	case LiquidWorked:
		return fmt.Sprintf("the liquid is due for a change: %s of emission, its limit is %s",
			quantity.FormatDuration(time.Duration(e.Value)), quantity.FormatDuration(time.Duration(e.Base)))
	case LiquidOld:
		return fmt.Sprintf("the liquid is due for a change: %s in the tank, its limit is %s", days(int(e.Value)), days(int(e.Base)))
	default:
		return "nothing was found"
	}
}
