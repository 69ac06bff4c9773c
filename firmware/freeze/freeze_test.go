package freeze

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

type inner struct {
	hidden float64
	Count  [3]int32
}

type sample struct {
	Yes    bool
	small  int8
	Bits   uint16
	large  int64
	huge   uint64
	Inners [2]inner
	plain  int
}

func draw(t *rapid.T) sample {
	s := sample{
		Yes: rapid.Bool().Draw(t, "yes"), small: rapid.Int8().Draw(t, "small"), Bits: rapid.Uint16().Draw(t, "bits"),
		large: rapid.Int64().Draw(t, "large"), huge: rapid.Uint64().Draw(t, "huge"), plain: int(rapid.Int32().Draw(t, "plain")),
	}
	for i := range s.Inners {
		s.Inners[i].hidden = math.Float64frombits(rapid.Uint64().Draw(t, "hidden"))
		for j := range s.Inners[i].Count {
			s.Inners[i].Count[j] = rapid.Int32Range(-1, 2).Draw(t, "count")
		}
	}
	return s
}

// same compares bit for bit: not-a-number is equal to itself, 0 not to -0.
func same(a, b sample) bool {
	for i := range a.Inners {
		if math.Float64bits(a.Inners[i].hidden) != math.Float64bits(b.Inners[i].hidden) {
			return false
		}
		a.Inners[i].hidden, b.Inners[i].hidden = 0, 0
	}
	return a == b
}

func TestEveryBitComesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		was := draw(t)
		line := Text(&was)
		for _, c := range line {
			require.True(t, c >= ' ' && c <= '~')
		}
		var is sample
		require.NoError(t, Parse(line, &is))
		require.True(t, same(was, is), "%+v\n%+v", was, is)
	})
}

func TestZerosAreShort(t *testing.T) {
	var s sample
	assert.Equal(t, shapeOfSample(t)+" 0*14", Text(&s))
	s.plain = -1
	s.Yes = true
	assert.Equal(t, shapeOfSample(t)+" 1 0*12 ffffffffffffffff", Text(&s))
}

func shapeOfSample(t *testing.T) string {
	shape, _, ok := strings.Cut(Text(&sample{}), " ")
	require.True(t, ok)
	require.Len(t, shape, 16)
	return shape
}

func TestAnotherTypeHasAnotherForm(t *testing.T) {
	type a struct{ X, Y int32 }
	type b struct{ Y, X int32 }
	type c struct{ X, Y uint32 }
	type d struct{ X [2]int32 }
	seen := map[string]bool{}
	for _, text := range []string{Text(&a{}), Text(&b{}), Text(&c{}), Text(&d{})} {
		assert.False(t, seen[text], text)
		seen[text] = true
	}
}

func TestABadStateIsToldAndLeavesNothing(t *testing.T) {
	shape := shapeOfSample(t)
	for line, want := range map[string]string{
		"":                           `the state is of a program of another kind: it has the form "", this program has "` + shape + `"`,
		"0123456789abcdef 0*14":      `the state is of a program of another kind: it has the form "0123456789abcdef", this program has "` + shape + `"`,
		shape:                        "the state ends after 0 numbers",
		shape + " 1 0*12":            "the state ends after 13 numbers",
		shape + " 0*15":              "the state has more numbers than it should",
		shape + " 0*14 1":            "the state has more numbers than it should",
		shape + " 2 0*13":            "number 1 of the state is 2, which bool does not hold",
		shape + " 1 80 0*12":         "number 2 of the state is 80, which int8 does not hold",
		shape + " 1 0*1 10000 ":      "number 3 of the state is 10000, which uint16 does not hold",
		shape + " 1 0*1 g":           `field "g" of the state is no number`,
		shape + " 1  0*12":           `field "" of the state is no number`,
		shape + " 0*0":               `field "0*0" of the state is no run of zeros`,
		shape + " 0*99999999999":     `field "0*99999999999" of the state is no run of zeros`,
		shape + " 0*-1":              `field "0*-1" of the state is no run of zeros`,
		shape + " 1\t0*13":           `field "1\t0*13" of the state is no number`,
		shape + " 10000000000000000": `field "10000000000000000" of the state is no number`,
	} {
		s := sample{Yes: true, plain: 7}
		assert.EqualError(t, Parse(line, &s), want, line)
		assert.Equal(t, sample{}, s, line)
	}
}

func TestOnlyPlainNumbersAreTaken(t *testing.T) {
	assert.PanicsWithValue(t, "freeze: string is no plain number", func() { Text(&struct{ S string }{}) })
	assert.Panics(t, func() { Text(&struct{ P *int }{}) })
	assert.Panics(t, func() { Text(&struct{ L []int }{}) })
}

func FuzzParse(f *testing.F) {
	s := sample{Yes: true, large: -5, huge: 1 << 63}
	f.Add(Text(&s))
	f.Add("")
	f.Add("0123456789abcdef 0*14")
	f.Fuzz(func(t *testing.T, line string) {
		var s sample
		if Parse(line, &s) != nil {
			return
		}
		var again sample
		require.NoError(t, Parse(Text(&s), &again))
		require.True(t, same(s, again))
	})
}
