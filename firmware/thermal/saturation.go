package thermal

import "math"

// Coefficients of the saturation line of IAPWS-IF97, region 4 (IAPWS
// R7-97(2012), table 34).
const (
	n1  = 0.11670521452767e4
	n2  = -0.72421316703206e6
	n3  = -0.17073846940092e2
	n4  = 0.12020824702470e5
	n5  = -0.32325550322333e7
	n6  = 0.14915108613530e2
	n7  = -0.48232657361591e4
	n8  = 0.40511340542057e6
	n9  = -0.23855557567849
	n10 = 0.65017534844798e3
)

// Ends of the saturation line, in kelvin and pascal.
const (
	saturationLowest   = 273.15
	saturationHighest  = 647.096
	saturationThinnest = 611.213
	saturationDensest  = 22.064e6
)

// SaturationPressure returns the vapour pressure over water, in Pa, at a
// temperature in K, 273.15 to 647.096; beyond that, the value at the nearer end.
// IAPWS-IF97 equation 30.
func SaturationPressure(kelvin float64) float64 {
	t := clamp(kelvin, saturationLowest, saturationHighest)
	theta := t + n9/(t-n10)
	square := float64(theta * theta)
	a := square + float64(n1*theta) + n2
	b := float64(n3*square) + float64(n4*theta) + n5
	c := float64(n6*square) + float64(n7*theta) + n8
	root := 2 * c / (math.Sqrt(float64(b*b)-float64(4*a*c)) - b)
	return float64(1e6 * FourthPower(root))
}

// BoilingPoint returns the temperature, in K, at which water boils under a
// pressure in Pa, 611.213 to 22.064e6; beyond that, the value at the nearer
// end. IAPWS-IF97 equation 31.
func BoilingPoint(pascal float64) float64 {
	beta := FourthRoot(clamp(pascal, saturationThinnest, saturationDensest) / 1e6)
	square := float64(beta * beta)
	e := square + float64(n3*beta) + n6
	f := float64(n1*square) + float64(n4*beta) + n7
	g := float64(n2*square) + float64(n5*beta) + n8
	d := 2 * g / (-f - math.Sqrt(float64(f*f)-float64(4*e*g)))
	sum := n10 + d
	return (sum - math.Sqrt(float64(sum*sum)-float64(4*(n9+float64(n10*d))))) / 2
}
