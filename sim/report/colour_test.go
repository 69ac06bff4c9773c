package report

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// linear is one channel of sRGB without its gamma (IEC 61966-2-1; the constants
// are those of WCAG 2.1's definition of relative luminance; from memory).
func linear(c uint8) float64 {
	v := float64(c) / 255
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

func luminance(c ink) float64 {
	return 0.2126*linear(c.R) + 0.7152*linear(c.G) + 0.0722*linear(c.B)
}

func contrast(a, b ink) float64 {
	x, y := luminance(a), luminance(b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

// WCAG 2.1, success criteria 1.4.3 (text, 4.5 to 1) and 1.4.11 (graphics, 3 to
// 1); from memory. Black on white is 21 to 1 there, which checks the formula.
func TestContrastIsEnoughToRead(t *testing.T) {
	assert.InDelta(t, 21, contrast(rgb(0), paper), 1e-9)
	for i, c := range curves {
		assert.GreaterOrEqual(t, contrast(c.ink, paper), 3.0, "curve %d", i)
	}
	for _, c := range []ink{inkText, inkQuiet, inkLimit, inkTrip, inkHold, inkNote} {
		assert.GreaterOrEqual(t, contrast(c, paper), 4.5, hex(c))
	}
	for name, c := range phaseTints {
		assert.GreaterOrEqual(t, contrast(inkText, c), 4.5, name)
	}
	for _, c := range otherTints {
		assert.GreaterOrEqual(t, contrast(inkText, c), 4.5, hex(c))
	}
}

// dichromat is a colour as seen without one kind of cone, in linear light
// (Vienot, Brettel and Mollon 1999, the matrices for sRGB; from memory).
func dichromat(c ink, short float64, blueFrom float64) [3]float64 {
	r, g, b := linear(c.R), linear(c.G), linear(c.B)
	rg := short*r + (1-short)*g
	return [3]float64{rg, rg, blueFrom*(r-g) + b}
}

// Colours of curves next to each other stay apart, in sight with and without
// red or green cones; and no two curves look alike in colour and dashes.
func TestCurvesCanBeTold(t *testing.T) {
	sights := map[string]func(ink) [3]float64{
		"all cones":      func(c ink) [3]float64 { return [3]float64{linear(c.R), linear(c.G), linear(c.B)} },
		"no red cones":   func(c ink) [3]float64 { return dichromat(c, 0.11238, 0.00401) },
		"no green cones": func(c ink) [3]float64 { return dichromat(c, 0.29275, -0.02234) },
	}
	dashes := map[string]bool{}
	for i, c := range curves {
		dashes[fmt.Sprint(c.dash)] = true
		for name, sight := range sights {
			a, b := sight(c.ink), sight(curves[(i+1)%len(curves)].ink)
			far := 0.0
			for k := range 3 { // in gamma-coded steps, which eyes see as even
				far += math.Pow(math.Pow(max(a[k], 0), 1/2.2)-math.Pow(max(b[k], 0), 1/2.2), 2)
			}
			assert.Greater(t, math.Sqrt(far), 0.15, "curves %d and %d, %s", i, i+1, name)
		}
	}
	assert.Len(t, dashes, len(curves))
}
