package thermal

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// The standard library is the outside reference here: it may not be used where
// bits must agree between processors, but it is right to the last digit or two.

func TestCubeRoot(t *testing.T) {
	for _, c := range []struct{ x, root float64 }{{0, 0}, {1, 1}, {8, 2}, {27, 3}, {1e-30, 1e-10}, {1e30, 1e10}} {
		assert.InDelta(t, c.root, CubeRoot(c.x), 5e-16*c.root)
	}
	for _, x := range []float64{-1, math.NaN(), math.Inf(1), math.Inf(-1), 5e-324} {
		assert.Zero(t, CubeRoot(x), "%g", x)
	}
	rapid.Check(t, func(t *rapid.T) {
		exponent := rapid.Float64Range(-300, 300).Draw(t, "exponent")
		x := math.Pow(10, exponent)
		assert.InEpsilon(t, math.Cbrt(x), CubeRoot(x), 5e-16)
	})
}

func TestExp2(t *testing.T) {
	for x := -30; x <= 30; x++ {
		assert.Equal(t, math.Ldexp(1, x), Exp2(float64(x)), "a whole power is exact")
	}
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(-900, 900).Draw(t, "x")
		assert.InEpsilon(t, math.Exp2(x), Exp2(x), 1e-14)
	})
	assert.Equal(t, Exp2(1000), Exp2(math.Inf(1)))
}

func TestPowersOfFour(t *testing.T) {
	assert.Equal(t, 81.0, FourthPower(3))
	assert.Equal(t, 3.0, FourthRoot(81))
}
