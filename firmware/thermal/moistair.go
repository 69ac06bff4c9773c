package thermal

// massRatio is the molar mass of water over that of dry air (ASHRAE Handbook
// Fundamentals, psychrometrics; from memory).
const massRatio = 0.621945

// VapourPressure returns the partial pressure of water vapour, in Pa, in air at
// a temperature in K and a relative humidity from 0 to 1, held to that range.
func VapourPressure(kelvin, humidity float64) float64 {
	return float64(clamp(humidity, 0, 1) * SaturationPressure(kelvin))
}

// HumidityRatio returns the kilograms of water vapour to one kilogram of dry
// air, at a partial pressure of the vapour and a total pressure in Pa, the
// first less than the second; 0 where it is not.
func HumidityRatio(vapour, total float64) float64 {
	if !(vapour < total) {
		return 0
	}
	return massRatio * vapour / (total - vapour)
}
