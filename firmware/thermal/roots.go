package thermal

import "math"

// The roots below are made from Sqrt and Newton's rule alone, because the
// standard library's Pow and Cbrt do not promise the same last bit on every
// processor.

// cubeRootBits brings the exponent of a third of a number's bits back to where
// it belongs: two thirds of the exponent's bias 1023, less a thirty-second that
// shares the error of the first guess between above and below.
const cubeRootBits = 682<<52 - 1<<47

// CubeRoot returns the cube root of x, finite and 0 or more, to the last bit or
// two; 0 for anything less and for the subnormal numbers.
func CubeRoot(x float64) float64 {
	const smallestNormal = 0x1p-1022
	if !(x >= smallestNormal) || math.IsInf(x, 1) {
		return 0
	}
	// The first guess is within 4 %; each step squares the error.
	y := math.Float64frombits(math.Float64bits(x)/3 + cubeRootBits)
	for range 5 {
		y = (float64(2*y) + x/float64(y*y)) / 3
	}
	return y
}

// FourthRoot returns the fourth root of x, 0 or more.
func FourthRoot(x float64) float64 { return math.Sqrt(math.Sqrt(x)) }

// FourthPower returns x to the fourth power.
func FourthPower(x float64) float64 {
	square := float64(x * x)
	return float64(square * square)
}

// Exp2 returns 2 to the power x, x held between -1000 and 1000, to about one
// part in 10^14.
func Exp2(x float64) float64 {
	x = clamp(x, -1000, 1000)
	whole := int(x)
	if float64(whole) > x {
		whole--
	}
	// Taylor's series of e^z for z = 0 to ln 2: the first term left out is
	// under 2e-16.
	z := float64((x - float64(whole)) * math.Ln2)
	sum := 1.0
	for k := 16; k >= 1; k-- {
		sum = 1 + float64(z*sum)/float64(k)
	}
	return float64(math.Float64frombits(uint64(whole+1023)<<52) * sum)
}
