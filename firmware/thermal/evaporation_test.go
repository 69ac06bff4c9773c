package thermal

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestEvaporationAgainstEvaluatedEquation(t *testing.T) {
	// The natatorium equation in SI form (ASHRAE HVAC Applications 2011,
	// ch. 5), evaluated independently with IAPWS-IF97 pressures.
	for _, c := range []struct{ water, air, humidity, speed, kilograms, watts float64 }{
		{60, 20, 0.5, 0, 2.5516, 1671.1},
		{60, 20, 0.5, 0.1, 2.7758, 1817.9},
		{60, 20, 0.5, 0.3, 3.2242, 2111.6},
		{50, 20, 0.5, 0.1, 1.6362, 1082.6},
		{40, 20, 0.5, 0.1, 0.9003, 601.7},
		{28, 30, 0.6, 0.1, 0.1768, 119.6},
	} {
		water := c.water + ZeroCelsius
		flux := Evaporation(water, c.air+ZeroCelsius, c.humidity, c.speed, Agitated)
		assert.InEpsilon(t, c.kilograms, flux*3600, 1e-3, "%+v", c)
		assert.InEpsilon(t, c.watts, flux*LatentHeat(water), 1e-3, "%+v", c)
	}
	// A Gastronorm 1/1 opening of 530 x 325 mm: 0.478 kg/h and 313 W.
	flux := Evaporation(60+ZeroCelsius, 20+ZeroCelsius, 0.5, 0.1, Agitated)
	assert.InDelta(t, 0.478, flux*3600*0.17225, 1e-3)
	assert.InDelta(t, 313, flux*LatentHeat(60+ZeroCelsius)*0.17225, 0.5)
}

func TestEvaporationAgainstImperialForm(t *testing.T) {
	// The same equation in lb/h, inHg and ft/min, 95 + 0.425 V (Smith, Lof and
	// Jones, ASHRAE Transactions 104, 1998): the two forms agree within 0.6 %.
	const (
		squareFoot = 0.09290304
		inchHg     = 3386.389
		pound      = 0.45359237
		btuPerLb   = 2326.0
		footPerMin = 0.00508
	)
	for _, speed := range []float64{0, 0.1, 0.15} {
		drive := (SaturationPressure(313.15) - VapourPressure(293.15, 0.5)) / inchHg
		imperial := drive * (95 + 0.425*speed/footPerMin) / (LatentHeat(313.15) / btuPerLb)
		flux := imperial * pound / 3600 / squareFoot
		assert.InEpsilon(t, flux, Evaporation(313.15, 293.15, 0.5, speed, Agitated), 7e-3)
	}
}

func TestEvaporationAgainstOtherFormulas(t *testing.T) {
	// A worked example of another formula, (25 + 19 v) A (xs - x), quoted from
	// a public engineering site: 25 x 20 m2, 0.5 m/s, xs 0.019826 (25 degC
	// water), x 0.0115: 0.0399 kg/s. Such formulas differ by tens of per cent.
	humidity := 0.0115 / (0.621945 + 0.0115) * StandardPressure / SaturationPressure(298.15)
	flux := Evaporation(298.15, 298.15, humidity, 0.5, Agitated)
	assert.InEpsilon(t, 0.0399, flux*25*20, 0.2)
	// At 60 degC in air of 20 degC and 50 % the formulas for pools lie between
	// 0.9 and 3.8 kg/(h m2) (own evaluation of four of them).
	rate := 3600 * Evaporation(333.15, 293.15, 0.5, 0.1, Agitated)
	assert.True(t, rate > 0.9 && rate < 3.8, "%g", rate)
}

func TestEvaporationIsMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		water := rapid.Float64Range(273.15, 372).Draw(t, "water")
		air := rapid.Float64Range(273.15, 313.15).Draw(t, "air")
		humidity := rapid.Float64Range(0, 1).Draw(t, "humidity")
		speed := rapid.Float64Range(0, 0.3).Draw(t, "speed")
		rate := Evaporation(water, air, humidity, speed, Quiet)
		assert.GreaterOrEqual(t, rate, 0.0)
		assert.GreaterOrEqual(t, Evaporation(water+1, air, humidity, speed, Quiet), rate, "warmer water")
		assert.LessOrEqual(t, Evaporation(water, air, humidity+0.1, speed, Quiet), rate, "damper air")
		assert.GreaterOrEqual(t, Evaporation(water, air, humidity, speed+0.1, Quiet), rate, "faster air")
		assert.GreaterOrEqual(t, Evaporation(water, air, humidity, speed, Agitated), rate, "moving surface")
	})
	assert.Zero(t, Evaporation(280, 300, 1, 0.1, Agitated), "damp air over cold water")
}
