package trace

import (
	"math"
	"math/big"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"periph.io/x/conn/v3/physic"
	"pgregory.net/rapid"
)

// scales are those in use, and a whole number.
var scales = []scale{{}, rpm.scale, hertz.scale, watts.scale, degreesCelsius.scale}

// exact returns the decimal of value by rational arithmetic of the standard
// library: the reference that shares nothing with the code under test.
func exact(s scale, value int64) *big.Rat {
	difference := new(big.Int).Sub(big.NewInt(value), big.NewInt(s.zero))
	one := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(s.places)), nil)
	return new(big.Rat).SetFrac(difference, one)
}

// shortest is the shortest decimal of a rational that has so many places.
func shortest(r *big.Rat, places int) string {
	text := r.FloatString(places)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}

// anyInt64 draws extremes and the neighbourhood of a zero more often than chance.
func anyInt64() *rapid.Generator[int64] {
	zero := int64(physic.ZeroCelsius)
	return rapid.OneOf(rapid.Int64(), rapid.Int64Range(-3000, 3000), rapid.Int64Range(zero-3000, zero+3000),
		rapid.SampledFrom([]int64{math.MinInt64, math.MinInt64 + 1, math.MaxInt64 - 1, math.MaxInt64, 0, zero,
			math.MinInt64 + zero, math.MaxInt64 - zero}))
}

func TestDecimalIsExactAndShortest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.SampledFrom(scales).Draw(t, "scale")
		value := anyInt64().Draw(t, "value")
		text := string(s.append(nil, value))
		require.Equal(t, shortest(exact(s, value), s.places), text)
		back, err := s.parse(text)
		require.NoError(t, err)
		require.Equal(t, value, back)
	})
}

// A text is taken exactly where the rational that it stands for is a whole
// number of units within an int64, and then gives that number.
func TestDecimalParsesAsRational(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.SampledFrom(scales).Draw(t, "scale")
		text := rapid.StringMatching(`-?0{0,3}[0-9]{1,21}(\.[0-9]{1,9})?`).Draw(t, "text")
		_, fraction, _ := strings.Cut(text, ".")
		value, err := s.parse(text)
		if len(fraction) > s.places {
			require.Equal(t, errTooFine, err)
			return
		}
		rational, ok := new(big.Rat).SetString(text)
		require.True(t, ok)
		one := new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(s.places)), nil))
		whole := rational.Mul(rational, one)
		want := new(big.Int).Add(whole.Num(), big.NewInt(s.zero))
		require.True(t, whole.IsInt())
		if !want.IsInt64() {
			require.Equal(t, errOutOfRange, err)
			return
		}
		require.NoError(t, err)
		require.Equal(t, want.Int64(), value)
	})
}

// The fixed points are those of the International System of Units (SI
// brochure, 9th edition, 2.3.1): 0 degC is 273.15 K by definition. From memory.
func TestDecimalFixedPoints(t *testing.T) {
	for _, point := range []struct {
		kelvin physic.Temperature
		text   string
	}{
		{273150 * physic.MilliKelvin, "0"},
		{0, "-273.15"},
		{273160 * physic.MilliKelvin, "0.01"}, // triple point of water, from memory
		{373150 * physic.MilliKelvin, "100"},
		{1, "-273.149999999"},
		{math.MaxInt64, "9223371763.704775807"},
		{math.MinInt64, "-9223372310.004775808"},
	} {
		assert.Equal(t, point.text, string(degreesCelsius.append(nil, int64(point.kelvin))))
		back, err := degreesCelsius.parse(point.text)
		require.NoError(t, err)
		assert.Equal(t, int64(point.kelvin), back)
	}
}

func TestDecimalRefuses(t *testing.T) {
	for text, want := range map[string]error{
		"": errNotNumber, "-": errNotNumber, ".": errNotNumber, "-.": errNotNumber, "5.": errNotNumber, ".5": errNotNumber,
		"-.5": errNotNumber, "1.2.3": errNotNumber, "1..2": errNotNumber, "+1": errNotNumber, "--1": errNotNumber,
		"1e3": errNotNumber, "0x10": errNotNumber, "1_000": errNotNumber, " 1": errNotNumber, "1 ": errNotNumber,
		"nan": errNotNumber, "NaN": errNotNumber, "Inf": errNotNumber, "-inf": errNotNumber, "6o.5": errNotNumber,
		"1,5": errNotNumber, "\uff11": errNotNumber, "1\x00": errNotNumber,
		"99999999999999999999999999999999x": errNotNumber,
		"0.0001":                            errTooFine, "1.5000": errTooFine,
		"9223372036854775.808": errOutOfRange, "-9223372036854775.809": errOutOfRange,
		"18446744073709551.616": errOutOfRange, "99999999999999999999999999999999": errOutOfRange,
	} {
		_, err := rpm.parse(text)
		assert.Equal(t, want, err, "%q", text)
	}
	for text, want := range map[string]int64{
		"-0": 0, "00.5": 500, "-0.001": -1, "9223372036854775.807": math.MaxInt64, "-9223372036854775.808": math.MinInt64,
	} {
		value, err := rpm.parse(text)
		require.NoError(t, err, "%q", text)
		assert.Equal(t, want, value, "%q", text)
	}
}

func TestDecimalAllocatesNothing(t *testing.T) {
	buffer := make([]byte, 0, 64)
	assert.Zero(t, testing.AllocsPerRun(100, func() {
		for _, value := range []int64{math.MinInt64, -1, 0, 123456789, math.MaxInt64} {
			buffer = degreesCelsius.append(buffer[:0], value)
			if _, err := degreesCelsius.parse(string(buffer)); err != nil {
				panic(err)
			}
		}
	}))
}
