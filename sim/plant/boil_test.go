package plant

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

func TestBathBoilsAwayAtItsBoilingPoint(t *testing.T) {
	// At 101.325 kPa water boils at 99.9743 degC and takes 2256.5 kJ/kg
	// (IAPWS-IF97): 1 kW makes 1.595 kg of steam an hour, and no bath gets hotter.
	c := lossless(t)
	w := calm(c)
	w.Bath, w.Litres = zero+99, 10
	r := newRig(t, c, w)
	r.want = heating
	r.run(3 * time.Minute)
	assert.InDelta(t, 99.9743, r.Truth().Bath-zero, 1e-3)
	before := r.bath.mass
	r.run(10 * time.Minute)
	assert.InDelta(t, 99.9743, r.Truth().Bath-zero, 1e-3)
	assert.InEpsilon(t, 1.595/6, before-r.bath.mass, 2e-3)

	// Once it is gone the steel goes on.
	r.bath.mass = 0.01
	r.run(2 * time.Minute)
	assert.Zero(t, r.Truth().Litres)
	assert.Greater(t, r.Truth().Bath, zero+110.0)
}

func TestEmissionEvaporatesMore(t *testing.T) {
	// A quiet surface evaporates 74 % of a moving one (Smith, Lof and Jones,
	// ASHRAE Transactions 104, 1998).
	c := demo(t)
	w := calm(c)
	w.Bath, w.LidOn = zero+60, false
	lost := map[bool]float64{}
	for _, on := range []bool{false, true} {
		r := newRig(t, c, w)
		if on {
			r.want = emitting
		}
		r.run(3 * time.Second)
		before := r.bath.mass
		r.run(10 * time.Second)
		lost[on] = before - r.bath.mass
	}
	assert.InEpsilon(t, 0.74, lost[false]/lost[true], 5e-3)
}

func TestLastMillimetreEvaporatesSlower(t *testing.T) {
	c := demo(t)
	w := calm(c)
	w.Litres = 0.09 // half a millimetre
	half := newRig(t, c, w)
	w.Litres = 0.36
	whole := newRig(t, c, w)
	assert.InEpsilon(t, 0.5, half.slow.loss.Vapour/whole.slow.loss.Vapour, 0.01)
}
