package fault

import (
	"fmt"
	"strconv"
	"strings"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
	"bathtender/hal/quantity"
)

// Number returns a size with its unit, as Parse reads it: "60 %"; empty for a kind
// without amount.
func (m Measure) Number(size float64) string {
	number := strconv.FormatFloat(size, 'g', 4, 64)
	switch m {
	case Share:
		return strconv.FormatFloat(100*size, 'g', 4, 64) + " %"
	case Kelvins:
		return number + " K"
	case Volts:
		return number + " V"
	case LitresPerMinute:
		return number + " l/min"
	case Count:
		return number
	case Seconds:
		return number + " s"
	case MetresPerSecond:
		return number + " m/s"
	default:
		return ""
	}
}

// Text returns a size as it follows the name of its fault: " by 60 %"; empty
// for a kind without amount.
func (m Measure) Text(size float64) string {
	switch m {
	case Share, Kelvins:
		return " by " + m.Number(size)
	case Volts:
		return " " + m.Number(size)
	case Seconds, MetresPerSecond:
		return " of " + m.Number(size)
	case LitresPerMinute:
		return " at " + m.Number(size)
	case Count:
		return " (" + m.Number(size) + ")"
	default:
		return ""
	}
}

// Parse reads a size as people write it: "60 %", "5 K", "190 V", "2 l/min",
// "1". The error is one sentence that quotes the text.
func (m Measure) Parse(text string) (float64, error) {
	switch m {
	case Share:
		thousandths, err := quantity.ParseShare(text)
		return float64(thousandths) / 1000, err
	case Kelvins:
		t, err := quantity.ParseTemperatureDifference(text)
		return float64(t) / float64(physic.Kelvin), err
	case Volts:
		v, err := quantity.ParseVoltage(text)
		return float64(v) / float64(physic.Volt), err
	case LitresPerMinute:
		volume, ok := strings.CutSuffix(text, "/min")
		if !ok {
			return 0, fmt.Errorf("rate %s is not a volume a minute, allowed is as in \"2 l/min\"", quantity.Quote(text))
		}
		v, err := quantity.ParseVolume(volume)
		return float64(v) / float64(hal.Litre), err
	case Seconds:
		d, err := quantity.ParseDuration(text)
		return d.Seconds(), err
	case MetresPerSecond:
		number, ok := strings.CutSuffix(text, " m/s")
		speed, err := strconv.ParseFloat(number, 64)
		if !ok || err != nil || !(speed >= 0 && speed < 1000) {
			return 0, fmt.Errorf("speed %s is not a speed of air, allowed is as in \"2 m/s\"", quantity.Quote(text))
		}
		return speed, nil
	case Count:
		n, err := strconv.Atoi(text)
		if err != nil {
			return 0, fmt.Errorf("number %s is not a whole number, allowed is as in \"1\"", quantity.Quote(text))
		}
		return float64(n), nil
	default:
		return 0, fmt.Errorf("this fault has no amount")
	}
}
