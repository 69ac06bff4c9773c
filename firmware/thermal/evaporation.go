package thermal

// Activity factors of Evaporation.
const (
	// Quiet is a still surface: 74 % of the equation (Smith, Lof and Jones,
	// ASHRAE Transactions 104, 1998).
	Quiet = 0.74
	// Agitated is a surface in motion, as over working emitters: the equation
	// as it stands.
	Agitated = 1.0
)

// Evaporation returns the water, in kg/(s m2), that leaves an open surface at a
// temperature in K into air at another temperature in K, with a relative
// humidity from 0 to 1 and a speed over the surface in m/s, 0.05 to 0.15;
// 0 where the air's vapour pressure is the higher one. The activity factor
// scales it.
//
// It is the natatorium equation of ASHRAE's HVAC Applications handbook in SI
// form (page from memory). That is meant for pools: above 40 degC it is
// extrapolated, and other formulas differ from it by a factor of two and more.
func Evaporation(water, air, humidity, speed, activity float64) float64 {
	drive := SaturationPressure(water) - VapourPressure(air, humidity)
	if !(drive > 0) {
		return 0
	}
	return float64(drive * (0.089 + float64(0.0782*clampUp(speed))) / LatentHeat(water) * activity)
}
