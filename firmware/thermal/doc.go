// Package thermal has the water, air and heat-transfer figures that a tank
// needs: how much heat a bath takes, and how much it loses to the room by
// evaporation, convection and radiation.
//
// Temperatures are in kelvin, pressures in pascal, everything else in SI units
// too. All functions are pure, do not allocate, and use only + - * / and Sqrt
// with explicit conversions around products, returned ones too since a call may
// be inlined, so that they give the same bits on every processor. A value
// outside a function's stated range gives a finite result, never a panic.
package thermal

// ZeroCelsius is 0 degC in kelvin.
const ZeroCelsius = 273.15

// StandardPressure is the standard atmosphere in pascal.
const StandardPressure = 101325.0

// clamp returns x, at least low and at most high; low where x is not a number.
func clamp(x, low, high float64) float64 {
	if x > high {
		return high
	}
	if x >= low {
		return x
	}
	return low
}

// polynomial returns c[0] + c[1] x + c[2] x^2 + ... by Horner's rule.
func polynomial(c []float64, x float64) float64 {
	sum := 0.0
	for i := len(c) - 1; i >= 0; i-- {
		sum = float64(sum*x) + c[i]
	}
	return sum
}
