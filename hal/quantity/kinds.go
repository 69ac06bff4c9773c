package quantity

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
)

// The kinds. Each is a value to be read, never assigned to.
var (
	// Temperature is a point on a scale: degC, °C, degF, °F or K. A
	// temperature in °F is rounded to a nanokelvin.
	Temperature = Kind[physic.Temperature]{
		what: "temperature", example: "45 degC", format: FormatTemperature,
		units: []unit{
			{name: "degC", num: int64(physic.Kelvin), den: 1, offset: int64(physic.ZeroCelsius)},
			{name: "°C", num: int64(physic.Kelvin), den: 1, offset: int64(physic.ZeroCelsius)},
			{name: "degF", num: int64(physic.Kelvin) * 5, den: 9, offset: zeroFahrenheit, rounded: true},
			{name: "°F", num: int64(physic.Kelvin) * 5, den: 9, offset: zeroFahrenheit, rounded: true},
			{name: "K", num: int64(physic.Kelvin), den: 1},
		},
	}
	// TemperatureDifference is how far two temperatures are apart, in K.
	TemperatureDifference = Kind[physic.Temperature]{
		what: "temperature difference", example: "0.5 K", format: FormatTemperatureDifference,
		units: []unit{{name: "K", num: int64(physic.Kelvin), den: 1}},
	}
	// TemperatureRate is a change of temperature per second.
	TemperatureRate = Kind[physic.Temperature]{
		what: "rate of temperature", example: "0.5 K/s", format: FormatTemperatureRate,
		units: []unit{
			{name: "K/s", num: int64(physic.Kelvin), den: 1},
			{name: "K/min", num: int64(physic.Kelvin), den: 60, rounded: true},
		},
	}
	// Power is in W or kW.
	Power = Kind[physic.Power]{
		what: "power", example: "1000 W", format: FormatPower,
		units: []unit{
			{name: "W", num: int64(physic.Watt), den: 1},
			{name: "kW", num: int64(physic.KiloWatt), den: 1},
		},
	}
	// Duration is in ms, s, min or h, or several of them: "8 min 20 s".
	Duration = Kind[time.Duration]{
		what: "time", example: "1.5 h", format: FormatDuration, parse: ParseDuration,
		units: durationUnits,
	}
	// Distance is in mm, cm, m or inches.
	Distance = Kind[physic.Distance]{
		what: "length", example: "900 mm", format: FormatDistance,
		units: []unit{
			{name: "mm", num: int64(physic.MilliMetre), den: 1},
			{name: "cm", num: 10 * int64(physic.MilliMetre), den: 1},
			{name: "m", num: int64(physic.Metre), den: 1},
			{name: "in", num: int64(physic.Inch), den: 1},
		},
	}
	// Voltage is in V.
	Voltage = Kind[physic.ElectricPotential]{
		what: "voltage", example: "230 V", format: FormatVoltage,
		units: []unit{{name: "V", num: int64(physic.Volt), den: 1}},
	}
	// Current is in A or mA.
	Current = Kind[physic.ElectricCurrent]{
		what: "current", example: "16 A", format: FormatCurrent,
		units: []unit{
			{name: "A", num: int64(physic.Ampere), den: 1},
			{name: "mA", num: int64(physic.MilliAmpere), den: 1},
		},
	}
	// Frequency is in Hz or kHz.
	Frequency = Kind[physic.Frequency]{
		what: "frequency", example: "40 kHz", format: FormatFrequency,
		units: []unit{
			{name: "Hz", num: int64(physic.Hertz), den: 1},
			{name: "kHz", num: int64(physic.KiloHertz), den: 1},
		},
	}
	// Speed is a speed of rotation in rpm.
	Speed = Kind[hal.RotationalSpeed]{
		what: "speed", example: "1500 rpm", format: FormatSpeed,
		units: []unit{{name: "rpm", num: int64(hal.RPM), den: 1}},
	}
	// Volume is in l, ml or US gallons; gallons are rounded to a microlitre.
	Volume = Kind[hal.Volume]{
		what: "volume", example: "19.8 l", format: FormatVolume,
		units: []unit{
			{name: "l", num: int64(hal.Litre), den: 1},
			{name: "L", num: int64(hal.Litre), den: 1},
			{name: "ml", num: int64(hal.MilliLitre), den: 1},
			{name: "mL", num: int64(hal.MilliLitre), den: 1},
			// 1 US gallon is 3.785411784 l exactly.
			{name: "US gal", num: 3785411784, den: 1000, rounded: true},
		},
	}
	// Share is a part of a whole in thousandths, written in %.
	Share = Kind[int64]{
		what: "share", example: "75 %", format: FormatShare,
		units: []unit{{name: "%", num: 10, den: 1}},
	}
	// Days is a whole number of days: "1 day", "180 days".
	Days = Kind[int64]{
		what: "number of days", example: "180 days", format: FormatDays,
		units: []unit{{name: "days", num: 1, den: 1}, {name: "day", num: 1, den: 1}},
	}
	// Dilution is how many parts of water go with one part of concentrate.
	Dilution = Kind[int64]{
		what: "dilution", example: "1:50", format: FormatDilution, parse: ParseDilution,
	}
)

// 0 degF is 459.67 * 5/9 K.
const zeroFahrenheit = 255372222222
