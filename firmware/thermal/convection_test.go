package thermal

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, 6th ed.,
// ch. 9, with the property values as printed there (from memory).
const incroperaGravity = 9.8

func incroperaRayleigh(a Air, difference, length float64) float64 {
	return a.Rayleigh(difference, length) * incroperaGravity / Gravity
}

func TestVerticalPlateAgainstExample92(t *testing.T) {
	// A glass fire screen 0.71 m high and 1.02 m wide, 232 degC in air of
	// 23 degC: Ra 1.813e9, Nu 147, h 7.0 W/(m2 K), 1060 W.
	air := Air{Conductivity: 33.8e-3, Viscosity: 26.4e-6, Diffusivity: 38.3e-6, Expansion: 0.0025}
	rayleigh := incroperaRayleigh(air, 232-23, 0.71)
	assert.InEpsilon(t, 1.813e9, rayleigh, 1e-3)
	nusselt := VerticalPlate(rayleigh, 0.690)
	assert.InDelta(t, 147, nusselt, 0.5)
	coefficient := nusselt * air.Conductivity / 0.71
	assert.InDelta(t, 7.0, coefficient, 0.05)
	assert.InDelta(t, 1060, coefficient*0.71*1.02*(232-23), 2)
	assert.InDelta(t, 2355, Radiation(1, 505, 296)*0.71*1.02, 2, "its black-body radiation")
}

func TestVerticalPlateAgainstAnIndependentLibrary(t *testing.T) {
	// The same example in the documentation of a public heat-transfer library:
	// Pr 0.69 and Gr 2.63e9 give 147.16185.
	assert.InEpsilon(t, 147.16185, VerticalPlate(0.69*2.63e9, 0.69), 1e-6)
}

func TestHorizontalPlatesAgainstExample93(t *testing.T) {
	// A duct 0.75 m wide and 0.3 m high, 45 degC in air of 15 degC: sides
	// 4.23, top 5.47, bottom 2.07 W/(m2 K), together 246 W/m.
	air := Air{Conductivity: 0.0265, Viscosity: 16.2e-6, Diffusivity: 22.9e-6, Expansion: 0.0033}
	side := incroperaRayleigh(air, 30, 0.3)
	assert.InEpsilon(t, 7.07e7, side, 2e-3)
	plate := incroperaRayleigh(air, 30, 0.75/2)
	assert.InEpsilon(t, 1.38e8, plate, 2e-3)

	sides := VerticalPlate(side, 0.71) * air.Conductivity / 0.3
	top := HotFaceUp(plate) * air.Conductivity / 0.375
	bottom := HotFaceDown(plate) * air.Conductivity / 0.375
	assert.InDelta(t, 4.23, sides, 0.01)
	assert.InDelta(t, 5.47, top, 0.01)
	assert.InDelta(t, 2.07, bottom, 0.01)
	assert.InDelta(t, 246, (2*0.3*sides+0.75*(top+bottom))*30, 0.5)
}

func TestPlatesNearNoDifference(t *testing.T) {
	// Churchill and Chu's laminar correlation begins at 0.68.
	assert.Equal(t, 0.68, VerticalPlate(0, 0.7))
	assert.Equal(t, 0.68, VerticalPlate(-5, 0.7))
	assert.Equal(t, 1.0, HotFaceUp(0))
	assert.Equal(t, 1.0, HotFaceDown(-5))
	// The two branches of the plate that faces up meet within 7 % at 1e7.
	assert.InEpsilon(t, HotFaceUp(1e7), HotFaceUp(1.0001e7), 0.07)
}

func TestAirAgainstPrintedProperties(t *testing.T) {
	// The printed properties of the two examples above, at 400 K and 303 K.
	for _, c := range []struct {
		kelvin  float64
		air     Air
		prandtl float64
	}{
		{400, Air{33.8e-3, 26.4e-6, 38.3e-6, 0.0025}, 0.690},
		{303, Air{26.5e-3, 16.2e-6, 22.9e-6, 0.0033}, 0.71},
	} {
		air := AirAt(c.kelvin)
		assert.InEpsilon(t, c.air.Conductivity, air.Conductivity, 0.025, "%g K", c.kelvin)
		assert.InEpsilon(t, c.air.Viscosity, air.Viscosity, 0.025, "%g K", c.kelvin)
		assert.InEpsilon(t, c.air.Diffusivity, air.Diffusivity, 0.025, "%g K", c.kelvin)
		assert.InEpsilon(t, c.air.Expansion, air.Expansion, 0.01, "%g K", c.kelvin)
		assert.InDelta(t, c.prandtl, air.Prandtl(), 0.015, "%g K", c.kelvin)
	}
}

func TestAirAgainstStandardAtmosphere(t *testing.T) {
	// US Standard Atmosphere 1976 at sea level, 288.15 K (from memory):
	// conductivity 0.025326 W/(m K), kinematic viscosity 1.4607e-5 m2/s.
	air := AirAt(288.15)
	assert.InEpsilon(t, 0.025326, air.Conductivity, 1e-4)
	assert.InEpsilon(t, 1.4607e-5, air.Viscosity, 1e-4)
	// Its conductivity has a power of ten, which AirAt works out by a series.
	for kelvin := 250.0; kelvin <= 600; kelvin += 10 {
		exact := 2.64638e-3 * math.Pow(kelvin, 1.5) / (kelvin + 245.4*math.Pow(10, -12/kelvin))
		assert.InEpsilon(t, exact, AirAt(kelvin).Conductivity, 5e-6, "%g K", kelvin)
	}
}

func TestHorizontalPlatesAgainstAnIndependentLibrary(t *testing.T) {
	// The documentation of a public heat-transfer library, McAdams's
	// correlations: Pr 5.54 and Gr 3.21e8 give 181.731213 up and 55.445648 down.
	assert.InEpsilon(t, 181.731213, HotFaceUp(5.54*3.21e8), 1e-7)
	assert.InEpsilon(t, 55.445648, HotFaceDown(5.54*3.21e8), 1e-7)
	// Below 1e7 it is 0.54 Ra^(1/4): 5.4 at 1e4 by hand.
	assert.InDelta(t, 5.4, HotFaceUp(1e4), 1e-12)
}
