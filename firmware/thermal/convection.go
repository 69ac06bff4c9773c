package thermal

import "math"

// laminarHighest is the Rayleigh number up to which the flow along a vertical
// plate stays laminar.
const laminarHighest = 1e9

// VerticalPlate returns the Nusselt number of natural convection at a vertical
// plate, over its height, for a Rayleigh number from 0 to 1e13: Churchill and
// Chu's correlation for laminar flow up to 1e9, and that for the whole range
// from there on, as in Incropera and DeWitt, ch. 9. The two differ by a third
// where they meet; air reaches 1e9 at walls of more than half a metre only.
func VerticalPlate(rayleigh, prandtl float64) float64 {
	ra := clampUp(rayleigh)
	x := math.Sqrt(0.492 / prandtl)                       // to the 8/16,
	x = float64(x * FourthRoot(FourthRoot(float64(x*x)))) // times the 1/16: 9/16
	ninth := CubeRoot(CubeRoot(1 + x))
	if ra <= laminarHighest {
		return 0.68 + float64(0.670*FourthRoot(ra))/FourthPower(ninth)
	}
	// A third of a ninth to the eighth: 8/27.
	third := CubeRoot(ninth)
	root := 0.825 + float64(0.387*math.Sqrt(CubeRoot(ra)))/FourthPower(float64(third*third))
	return float64(root * root)
}

// HotFaceUp returns the Nusselt number of natural convection at a hot
// horizontal plate that faces up, over its area divided by its perimeter:
// 0.54 Ra^(1/4) up to a Rayleigh number of 1e7 and 0.15 Ra^(1/3) from there to
// 1e11 (Incropera and DeWitt, ch. 9), but never less than 1.
func HotFaceUp(rayleigh float64) float64 {
	ra := clampUp(rayleigh)
	if ra > 1e7 {
		return float64(0.15 * CubeRoot(ra))
	}
	return math.Max(1, 0.54*FourthRoot(ra))
}

// HotFaceDown returns the Nusselt number of natural convection at a hot
// horizontal plate that faces down, over its area divided by its perimeter:
// 0.27 Ra^(1/4), for a Rayleigh number from 1e5 to 1e10 (Incropera and DeWitt,
// ch. 9, as in the sixth edition; later ones have 0.52 Ra^(1/5), which gives
// a quarter less), but never less than 1.
func HotFaceDown(rayleigh float64) float64 {
	return math.Max(1, 0.27*FourthRoot(clampUp(rayleigh)))
}

// clampUp returns x, or 0 where x is less or not a number.
func clampUp(x float64) float64 { return clamp(x, 0, math.MaxFloat64) }
