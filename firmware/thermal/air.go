package thermal

import "math"

// Gravity is the standard acceleration of free fall in m/s2.
const Gravity = 9.80665

// Air is what natural convection needs to know of air at standard pressure.
type Air struct {
	Conductivity float64 // W/(m K)
	Viscosity    float64 // kinematic, m2/s
	Diffusivity  float64 // thermal, m2/s
	Expansion    float64 // 1/K
}

// Prandtl returns the Prandtl number.
func (a Air) Prandtl() float64 { return a.Viscosity / a.Diffusivity }

// Rayleigh returns the Rayleigh number, 0 or more, of a surface with a
// characteristic length in m that is so many kelvin away from the air.
func (a Air) Rayleigh(difference, length float64) float64 {
	if difference < 0 {
		difference = -difference
	}
	return float64(Gravity * a.Expansion * difference * length * length * length /
		(a.Viscosity * a.Diffusivity))
}

// AirAt returns the properties of dry air at standard pressure and a film
// temperature in K, 250 to 600, held to that range. Viscosity is Sutherland's
// law and conductivity the fit of the US Standard Atmosphere 1976 (coefficients
// from memory); heat capacity 1007 J/(kg K), good to 1 % up to 400 K. The tests
// hold it against printed values at 303 K and 400 K.
func AirAt(kelvin float64) Air {
	const (
		gasConstant  = 287.05287 // J/(kg K)
		heatCapacity = 1007.0    // J/(kg K)
	)
	t := clamp(kelvin, 250, 600)
	power := float64(t * math.Sqrt(t))
	dynamic := 1.458e-6 * power / (t + 110.4)
	// The fit has 10^(-12/T): here e^-x with x from 0.046 to 0.11, by the
	// series to the third power, good to 1e-5.
	x := 12 * math.Ln10 / t
	decay := 1 - float64(x*(1-float64(x*(1-x/3)/2)))
	conductivity := 2.64638e-3 * power / (t + float64(245.4*decay))
	density := StandardPressure / float64(gasConstant*t)
	return Air{
		Conductivity: conductivity,
		Viscosity:    dynamic / density,
		Diffusivity:  conductivity / (density * heatCapacity),
		Expansion:    1 / t,
	}
}
