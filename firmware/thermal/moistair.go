package thermal

// VapourPressure returns the partial pressure of water vapour, in Pa, in air at
// a temperature in K and a relative humidity from 0 to 1, held to that range.
func VapourPressure(kelvin, humidity float64) float64 {
	return float64(clamp(humidity, 0, 1) * SaturationPressure(kelvin))
}
