package thermal

// The polynomials below are this project's own least-squares fits, in hundreds
// of degrees Celsius, to values of IAPWS-95 at 101.325 kPa (density and heat
// capacity) and of IAPWS-IF97 saturation (latent heat) at 0, 1, 2 ... 100 degC.
// Their largest differences from those are 0.013 kg/m3, 0.15 J/(kg K) and 21 J/kg.
var (
	densityFit = [...]float64{999.855193, 6.13372828, -83.1129056,
		64.0084797, -39.0934692, 10.5655081}
	heatFit = [...]float64{4219.30658, -335.235162, 1123.18818, -2052.85808,
		2286.84443, -1372.90085, 347.400204}
	latentFit = [...]float64{2500915.37, -237386.933, 5104.6454, -12138.8762}
	// enthalpyFit is the integral of heatFit from 0 degC.
	enthalpyFit = [...]float64{0, 100 * 4219.30658, -100 * 335.235162 / 2,
		100 * 1123.18818 / 3, -100 * 2052.85808 / 4, 100 * 2286.84443 / 5,
		-100 * 1372.90085 / 6, 100 * 347.400204 / 7}
)

// hundreds returns a temperature in K as hundreds of degrees Celsius, held
// between 0 and 100 degC, where the fits are good.
func hundreds(kelvin float64) float64 {
	return clamp((kelvin-ZeroCelsius)/100, 0, 1)
}

// WaterDensity returns the density of water, in kg/m3, at a temperature in K,
// 273.15 to 373.15; beyond that, the value at the nearer end.
func WaterDensity(kelvin float64) float64 {
	return polynomial(densityFit[:], hundreds(kelvin))
}

// WaterHeatCapacity returns the isobaric heat capacity of water, in J/(kg K),
// at a temperature in K, 273.15 to 373.15; beyond that, the value at the nearer
// end.
func WaterHeatCapacity(kelvin float64) float64 {
	return polynomial(heatFit[:], hundreds(kelvin))
}

// WaterEnthalpy returns the heat, in J/kg, that water takes from 0 degC to a
// temperature in K: the integral of WaterHeatCapacity, with that function's
// value at the nearer end beyond 273.15 to 373.15.
func WaterEnthalpy(kelvin float64) float64 {
	u := hundreds(kelvin)
	beyond := (kelvin - ZeroCelsius) - float64(100*u)
	return polynomial(enthalpyFit[:], u) + float64(beyond*polynomial(heatFit[:], u))
}

// LatentHeat returns the heat of evaporation of water, in J/kg, at a
// temperature in K, 273.15 to 373.15; beyond that, the value at the nearer end.
func LatentHeat(kelvin float64) float64 {
	return polynomial(latentFit[:], hundreds(kelvin))
}
