package quantity

import (
	"strconv"
	"strings"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
)

// FormatTemperature returns degrees Celsius to a tenth: "61.2 °C", "70 °C".
func FormatTemperature(t physic.Temperature) string {
	// Rounded from a point on the Kelvin scale, which has no sign to mind.
	return fixed(int64(t)-int64(physic.ZeroCelsius), int64(physic.Kelvin), 1) + " °C"
}

// FormatTemperatureDifference returns kelvins to a hundredth: "0.5 K".
func FormatTemperatureDifference(t physic.Temperature) string {
	return fixed(int64(t), int64(physic.Kelvin), 2) + " K"
}

// FormatTemperatureRate returns kelvins a second to a thousandth: "0.5 K/s".
func FormatTemperatureRate(t physic.Temperature) string {
	return fixed(int64(t), int64(physic.Kelvin), 3) + " K/s"
}

// FormatPower returns whole watts from 10 W on and tenths below, and kilowatts
// from 10 kW on: "4.8 W", "41 W", "1000 W", "12.5 kW".
func FormatPower(p physic.Power) string {
	switch size := magnitude(int64(p)); {
	case size >= 10*uint64(physic.KiloWatt)-uint64(physic.Watt)/2:
		return fixed(int64(p), int64(physic.KiloWatt), 1) + " kW"
	case size >= 10*uint64(physic.Watt)-uint64(physic.Watt)/20:
		return fixed(int64(p), int64(physic.Watt), 0) + " W"
	default:
		return fixed(int64(p), int64(physic.Watt), 1) + " W"
	}
}

// FormatDistance returns millimetres to a tenth, and metres to a millimetre
// from 1 m on: "0.8 mm", "900 mm", "1.25 m".
func FormatDistance(d physic.Distance) string {
	if magnitude(int64(d)) >= uint64(physic.Metre)-uint64(physic.MilliMetre)/20 {
		return fixed(int64(d), int64(physic.Metre), 3) + " m"
	}
	return fixed(int64(d), int64(physic.MilliMetre), 1) + " mm"
}

// FormatVoltage returns volts to a tenth: "229.6 V".
func FormatVoltage(v physic.ElectricPotential) string {
	return fixed(int64(v), int64(physic.Volt), 1) + " V"
}

// FormatCurrent returns amperes to a tenth, and whole milliamperes under 1 A:
// "6.5 A", "30 mA".
func FormatCurrent(a physic.ElectricCurrent) string {
	if magnitude(int64(a)) < uint64(physic.Ampere)-uint64(physic.MilliAmpere)/2 {
		return fixed(int64(a), int64(physic.MilliAmpere), 0) + " mA"
	}
	return fixed(int64(a), int64(physic.Ampere), 1) + " A"
}

// FormatFrequency returns hertz to a hundredth, and kilohertz to a tenth from
// 1 kHz on: "49.98 Hz", "40 kHz".
func FormatFrequency(f physic.Frequency) string {
	if magnitude(int64(f)) >= uint64(physic.KiloHertz)-uint64(physic.Hertz)/200 {
		return fixed(int64(f), int64(physic.KiloHertz), 1) + " kHz"
	}
	return fixed(int64(f), int64(physic.Hertz), 2) + " Hz"
}

// FormatSpeed returns whole revolutions per minute: "1500 rpm".
func FormatSpeed(s hal.RotationalSpeed) string {
	return fixed(int64(s), int64(hal.RPM), 0) + " rpm"
}

// FormatVolume returns litres to a tenth, and whole millilitres under 1 l:
// "19.8 l", "396 ml".
func FormatVolume(v hal.Volume) string {
	if magnitude(int64(v)) < uint64(hal.Litre)-uint64(hal.MilliLitre)/2 {
		return fixed(int64(v), int64(hal.MilliLitre), 0) + " ml"
	}
	return fixed(int64(v), int64(hal.Litre), 1) + " l"
}

// FormatShare returns thousandths as per cent: 750 is "75 %".
func FormatShare(thousandths int64) string { return fixed(thousandths, 10, 1) + " %" }

// FormatDays returns whole days: "1 day", "180 days".
func FormatDays(days int64) string {
	if days == 1 {
		return "1 day"
	}
	return strconv.FormatInt(days, 10) + " days"
}

// fixed returns value/one rounded to the given decimals, halves away from zero,
// without zeros at the end.
func fixed(value, one int64, decimals int) string {
	scale := uint64(1)
	for range decimals {
		scale *= 10
	}
	size := magnitude(value)
	whole, rest := size/uint64(one), size%uint64(one)
	// rest < one and one is at most a few 1e15, so the product fits.
	part := (rest*scale + uint64(one)/2) / uint64(one)
	if part >= scale {
		whole, part = whole+1, part-scale
	}
	text := strconv.FormatUint(whole, 10)
	if part != 0 {
		digits := strconv.FormatUint(part, 10)
		text += "." + strings.TrimRight(strings.Repeat("0", decimals-len(digits))+digits, "0")
	}
	if value < 0 && (whole != 0 || part != 0) {
		return "-" + text
	}
	return text
}

func magnitude(value int64) uint64 {
	if value < 0 {
		return -uint64(value)
	}
	return uint64(value)
}
