package thermal

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestRadiationAgainstArithmetic(t *testing.T) {
	// sigma T^4 with the CODATA constant, evaluated independently.
	assert.InDelta(t, 459.300, Radiation(1, 300, 0), 1e-3)
	assert.InDelta(t, 56703.74, Radiation(1, 1000, 0), 1e-2)
	for _, c := range []struct{ emissivity, flux float64 }{
		{0.95, 265.754}, {0.96, 268.552}, {1, 279.741}, {0.1, 27.974},
	} {
		assert.InDelta(t, c.flux, Radiation(c.emissivity, 333.15, 293.15), 1e-3)
	}
	assert.InDelta(t, 6.6439, RadiationCoefficient(0.95, 333.15, 293.15), 1e-4)
	// The documentation of a public heat-transfer library, which has the
	// CODATA constant of 2014, 1.3e-6 less.
	assert.InEpsilon(t, 1451.613952, Radiation(1, 400, 0), 2e-6)
	assert.InEpsilon(t, 816.782172, Radiation(0.85, 400, 305), 2e-6)
}

func TestRadiationAgainstExample12(t *testing.T) {
	// Incropera and DeWitt, example 1.2 (from memory): a pipe of 70 mm at
	// 200 degC, emissivity 0.8, in a room of 25 degC: it emits 2270 W/m2, gets
	// 447 W/m2, and loses 421 W/m by radiation. There sigma is 5.67e-8.
	assert.InDelta(t, 2270, Radiation(0.8, 473, 0), 1)
	assert.InDelta(t, 447, Radiation(1, 298, 0), 0.5)
	const perimeter = 3.14159265 * 0.07
	assert.InDelta(t, 421, perimeter*Radiation(0.8, 473, 298), 1)
}

func TestRadiationCoefficientIsTheSlope(t *testing.T) {
	for _, kelvin := range []float64{293.15, 293.16, 333.15, 373.15} {
		flux := Radiation(0.5, kelvin, 293.15)
		assert.InDelta(t, flux, RadiationCoefficient(0.5, kelvin, 293.15)*(kelvin-293.15), 1e-9)
	}
}
