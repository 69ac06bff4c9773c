package quantity

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
)

// ParseTemperature reads a temperature: "45 degC", "45 °C", "113 degF", "318.15 K".
func ParseTemperature(text string) (physic.Temperature, error) { return Temperature.Parse(text) }

// ParseTemperatureDifference reads how far two temperatures are apart: "0.5 K".
func ParseTemperatureDifference(text string) (physic.Temperature, error) {
	return TemperatureDifference.Parse(text)
}

// ParseTemperatureRate reads a change per second: "0.5 K/s", "3 K/min".
func ParseTemperatureRate(text string) (physic.Temperature, error) {
	return TemperatureRate.Parse(text)
}

// ParsePower reads a power: "1000 W", "1 kW".
func ParsePower(text string) (physic.Power, error) { return Power.Parse(text) }

// ParseDistance reads a length: "900 mm", "90 cm", "0.9 m", "6 in".
func ParseDistance(text string) (physic.Distance, error) { return Distance.Parse(text) }

// ParseVoltage reads a voltage: "230 V".
func ParseVoltage(text string) (physic.ElectricPotential, error) { return Voltage.Parse(text) }

// ParseCurrent reads a current: "16 A", "30 mA".
func ParseCurrent(text string) (physic.ElectricCurrent, error) { return Current.Parse(text) }

// ParseFrequency reads a frequency: "50 Hz", "40 kHz".
func ParseFrequency(text string) (physic.Frequency, error) { return Frequency.Parse(text) }

// ParseSpeed reads a speed of rotation: "1500 rpm".
func ParseSpeed(text string) (hal.RotationalSpeed, error) { return Speed.Parse(text) }

// ParseVolume reads a volume: "19.8 l", "500 ml", "4.2 US gal".
func ParseVolume(text string) (hal.Volume, error) { return Volume.Parse(text) }

// ParseDays reads a whole number of days: "180 days".
func ParseDays(text string) (int64, error) { return Days.Parse(text) }

// ParseShare reads a share into thousandths: "75 %" is 750.
func ParseShare(text string) (int64, error) { return Share.Parse(text) }

// readDuration keeps ParseDuration and the kind Duration from needing each other.
var readDuration = Kind[time.Duration]{what: "time", example: "1.5 h", units: durationUnits}

var durationUnits = []unit{
	{name: "ms", num: int64(time.Millisecond), den: 1},
	{name: "s", num: int64(time.Second), den: 1},
	{name: "min", num: int64(time.Minute), den: 1},
	{name: "h", num: int64(time.Hour), den: 1},
}
