package thermal

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestSaturationPressureAgainstIF97Table35(t *testing.T) {
	// IAPWS R7-97(2012), table 35: nine published digits.
	for _, c := range []struct{ kelvin, megapascal float64 }{
		{300, 0.353658941e-2}, {500, 0.263889776e1}, {600, 0.123443146e2},
	} {
		assert.InEpsilon(t, c.megapascal, SaturationPressure(c.kelvin)/1e6, 1e-8, "%g K", c.kelvin)
	}
}

func TestBoilingPointAgainstIF97Table36(t *testing.T) {
	// IAPWS R7-97(2012), table 36.
	for _, c := range []struct{ megapascal, kelvin float64 }{
		{0.1, 0.372755919e3}, {1, 0.453035632e3}, {10, 0.584149488e3},
	} {
		assert.InEpsilon(t, c.kelvin, BoilingPoint(c.megapascal*1e6), 1e-8, "%g MPa", c.megapascal)
	}
	// IAPWS-IF97 evaluated: the boiling point falls with the altitude.
	for _, c := range []struct{ kilopascal, celsius float64 }{
		{101.325, 99.9743}, {90, 96.6870}, {80, 93.4854}, {70, 89.9315},
	} {
		assert.InDelta(t, c.celsius, BoilingPoint(c.kilopascal*1e3)-ZeroCelsius, 1e-4)
	}
}

func TestSaturationPressureAgainstHylandAndWexler(t *testing.T) {
	// A second opinion: Hyland and Wexler's formula as in ASHRAE Fundamentals,
	// evaluated with an independent psychrometric library. The two differ by
	// up to 0.08 % at 0 degC and 0.02 % from 10 degC up.
	for _, c := range []struct{ celsius, pascal float64 }{
		{0, 611.154}, {5, 872.487}, {10, 1227.995}, {20, 2338.804}, {25, 3169.216}, {30, 4246.030},
		{40, 7383.460}, {50, 12349.856}, {60, 19943.761}, {70, 31197.895}, {80, 47411.61}, {100, 101418.7},
	} {
		assert.InEpsilon(t, c.pascal, SaturationPressure(c.celsius+ZeroCelsius), 3e-4, "%g degC", c.celsius)
	}
	// Tetens's formula as printed in FAO-56 (from memory), in kPa to 3 digits.
	for _, c := range []struct{ celsius, kilopascal float64 }{
		{20, 2.338}, {25, 3.168}, {30, 4.243}, {40, 7.376},
	} {
		assert.InEpsilon(t, c.kilopascal, SaturationPressure(c.celsius+ZeroCelsius)/1e3, 2e-3)
	}
}

func TestSaturationLineIsItsOwnInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kelvin := rapid.Float64Range(273.15, 600).Draw(t, "kelvin")
		assert.InDelta(t, kelvin, BoilingPoint(SaturationPressure(kelvin)), 1e-5)
	})
}

func TestSaturationOutsideItsRangeIsTheNearerEnd(t *testing.T) {
	for _, kelvin := range []float64{-1, 0, 273.15, math.NaN(), math.Inf(-1)} {
		assert.Equal(t, SaturationPressure(273.15), SaturationPressure(kelvin), "%g K", kelvin)
	}
	assert.Equal(t, SaturationPressure(647.096), SaturationPressure(math.Inf(1)))
	// The critical point is 22.064 MPa (IAPWS R2-83).
	assert.InEpsilon(t, 22.064e6, SaturationPressure(1000), 1e-4)
	assert.InDelta(t, 273.15, BoilingPoint(0), 1e-3)
}

func TestVapourPressure(t *testing.T) {
	// Moist air at 101325 Pa from an independent psychrometric library that
	// follows ASHRAE Fundamentals.
	for _, c := range []struct{ celsius, humidity, ratio float64 }{
		{20, 0.5, 0.00726174}, {25, 0.5, 0.00988104}, {60, 1, 0.152417},
	} {
		vapour := VapourPressure(c.celsius+ZeroCelsius, c.humidity)
		// 0.621945 is the molar mass of water over that of dry air.
		assert.InEpsilon(t, c.ratio, 0.621945*vapour/(StandardPressure-vapour), 5e-4, "%g degC", c.celsius)
	}
	assert.Equal(t, SaturationPressure(300), VapourPressure(300, 1.7), "humidity is held to 1")
}
