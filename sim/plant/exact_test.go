package plant

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"bathtender/firmware/thermal"
	"bathtender/hal"
)

// lossless returns the demo tank without banks, fans and losses, and a heater
// that passes all it has to the bath at once.
func lossless(t testing.TB) Config {
	c := demo(t)
	c.Banks, c.Fans = 0, 0
	c.Tank.WallLoss, c.Tank.SurfaceLoss, c.Tank.Vapour, c.Tank.Fittings = 0, 0, 0, 0
	c.Heater.Plate, c.Heater.Air = 0, 0
	c.Contact.PickUp = 0
	return c
}

func TestHeatedBathAgainstClosedForm(t *testing.T) {
	// T = Ta + P/UA + (T0 - Ta - P/UA) e^(-t UA/C), the exact solution of a
	// heated lumped bath (Incropera and DeWitt, ch. 5), with C 41840 J/K, UA 5
	// W/K, P 500 W and T0 = Ta = 20 degC.
	c := lossless(t)
	c.Tank.Steel, c.Tank.Fittings, c.Heater.Power = 41840, 5, 500
	w := calm(c)
	w.Litres = 0
	r := newRig(t, c, w)
	r.want = heating
	for _, want := range []struct {
		seconds int
		celsius float64
	}{
		{600, 26.919150}, {1800, 39.354337}, {3600, 54.962771}, {7200, 77.701588}, {14400, 102.108444},
	} {
		at := time.Duration(want.seconds) * time.Second
		r.run(at - r.Truth().Time)
		assert.InDelta(t, want.celsius, r.Truth().Bath-zero, 5e-4, "after %d s", want.seconds)
	}
}

func TestCoolingAgainstClosedForm(t *testing.T) {
	// Newton's law: what remains of the difference after n time constants is
	// e^-n: 36.7879, 13.5335, 4.9787 %.
	c := lossless(t)
	c.Tank.Steel, c.Tank.Fittings = 41840, 50
	w := calm(c)
	w.Litres, w.Bath = 0, w.Room+50
	r := newRig(t, c, w)
	for _, percent := range []float64{36.7879, 13.5335, 4.9787} {
		r.run(41840 * time.Second / 50)
		assert.InDelta(t, percent/100*50, r.Truth().Bath-w.Room, 5e-3)
	}
}

func TestHeatUpOfTenLitresAgainstIAPWS(t *testing.T) {
	// 10 litres of water filled at 20 degC, no loss, 1 kW, to 60 degC: 1669.1 s
	// by IAPWS density and enthalpy.
	c := lossless(t)
	c.Tank.Steel = 1
	w := calm(c)
	w.Litres = 10
	r := newRig(t, c, w)
	r.want = heating
	took := r.until(time.Hour, func(truth Truth) bool { return truth.Bath >= zero+60 })
	assert.InEpsilon(t, 1669.1, took.Seconds(), 0.003)
}

func TestStepSizeConverges(t *testing.T) {
	// The same session in steps of 100, 50, 25 and 12.5 ms: heating, emission,
	// and drivers without air. The differences to the finest steps are small and
	// shrink with the step.
	session := func(step time.Duration) Truth {
		r := demoRig(t)
		for _, part := range []struct {
			want hal.Outputs
			time time.Duration
		}{{heating, 5 * time.Minute}, {emitting, 5 * time.Minute}, {airless, 3 * time.Minute}} {
			r.want = part.want
			for range part.time / step {
				r.tick(step)
			}
		}
		return r.Truth()
	}
	fine := session(12500 * time.Microsecond)
	var last, lastWinding float64
	for i, step := range []time.Duration{100 * time.Millisecond, 50 * time.Millisecond, 25 * time.Millisecond} {
		truth := session(step)
		bath, winding := distance(truth.Bath, fine.Bath), distance(truth.Winding[0], fine.Winding[0])
		t.Logf("%v: bath off by %.2g K, winding by %.2g K", step, bath, winding)
		assert.Less(t, bath, 1e-3, "%v", step)
		assert.Less(t, winding, 0.05, "%v", step)
		assert.Less(t, distance(truth.Joint[0], fine.Joint[0]), 0.01, "%v", step)
		assert.Less(t, distance(truth.Cabinet, fine.Cabinet), 0.01, "%v", step)
		if i > 0 {
			assert.Less(t, bath, 0.7*last, "%v", step)
			assert.Less(t, winding, 0.7*lastWinding, "%v", step)
		}
		last, lastWinding = bath, winding
	}
}

func TestHeaterPowerAgainstMains(t *testing.T) {
	// P = P_N (V/V_N)^2: a 1000 W element for 230 V is 52.9 ohm.
	r := demoRig(t)
	r.want = heating
	r.run(2 * time.Second)
	for _, c := range []struct{ volts, watts float64 }{
		{195.5, 722.5}, {207, 810}, {216.2, 883.6}, {220, 914.934}, {230, 1000}, {235, 1043.951},
		{240, 1088.847}, {244, 1125.444}, {253, 1210}, {120, 272.21},
	} {
		r.Faults.MainsVolts = c.volts
		r.run(tick)
		assert.InDelta(t, c.watts, r.Truth().HeaterWatts, 0.005, "%g V", c.volts)
	}
}

func TestEvaporationTakesWhatTheEquationSays(t *testing.T) {
	// ASHRAE's natatorium equation at 60/20 degC, 50 %, 0.1 m/s gives 2.7758
	// kg/(h m2), of a quiet surface 74 %; the tank's opening is 0.18 m2.
	c := demo(t)
	w := calm(c)
	w.Bath, w.LidOn = zero+60, false
	r := newRig(t, c, w)
	before := r.bath.mass
	r.run(10 * time.Second)
	assert.InEpsilon(t, 2.7758*0.74*0.18/360, before-r.bath.mass, 0.005)

	// The balance of the mass, with everything that moves it, over an hour.
	r.Faults = Faults{LeakRate: 0.01, DrainRate: 0.02, PourRate: 0.05, PourTemperature: zero + 60}
	from := r.Truth()
	before = r.bath.mass
	r.run(time.Hour)
	truth := r.Truth()
	poured := 60 * (0.05 - 0.01 - 0.02)
	gone := truth.LitresEvaporated - from.LitresEvaporated
	assert.InDelta(t, poured-gone, (r.bath.mass-before)/thermal.WaterDensity(truth.Bath)*1000, 0.02)
	assert.Greater(t, gone, 0.1)
	assert.InDelta(t, 0.6, truth.LitresOnFloor, 0.02)
}

func TestEnergyBalanceCloses(t *testing.T) {
	for name, prepare := range map[string]func(*Config, *World, *Faults){
		"full tank":      func(*Config, *World, *Faults) {},
		"open and noisy": func(_ *Config, w *World, _ *Faults) { w.LidOn, w.Noise, w.Wander = false, 0.3, 2 },
		"dry tank":       func(_ *Config, w *World, _ *Faults) { w.Litres = 0 },
		"boils dry":      func(c *Config, w *World, _ *Faults) { w.Litres, w.Bath, c.Heater.Bottom = 0.3, zero+95, -0.02 },
		"leak and pour": func(_ *Config, _ *World, f *Faults) {
			f.LeakRate, f.PourRate, f.PourTemperature = 0.2, 0.3, zero+70
		},
		"runs over": func(_ *Config, _ *World, f *Faults) { f.PourRate = 2 },
		"stalled":   func(_ *Config, _ *World, f *Faults) { f.FanStalled[0], f.HeaterDetached = true, true },
		"loose": func(_ *Config, _ *World, f *Faults) {
			f.EmittersLoose = [hal.MaxBanks]int{1, 2, 1}
		},
		"loose and shorted": func(_ *Config, _ *World, f *Faults) {
			f.EmittersLoose[0], f.BankShorted[0], f.BankShorted[1] = 1, true, true
		},
		"draught and dip": func(_ *Config, w *World, f *Faults) { w.LidOn, f.Draught, f.MainsDip = false, 3, 0.25 },
	} {
		t.Run(name, func(t *testing.T) {
			c := demo(t)
			w := calm(c)
			var f Faults
			prepare(&c, &w, &f)
			r := newRig(t, c, w)
			r.Faults = f
			start := r.Energy()
			r.want = heating
			r.run(10 * time.Minute)
			r.want = emitting
			r.run(10 * time.Minute)
			r.want = airless
			r.run(5 * time.Minute)
			r.want = allOff
			r.run(5 * time.Minute)
			end := r.Energy()
			assert.Greater(t, end.Electrical, 3e5, "something happened")
			off := (end.Stored - start.Stored) - (end.Electrical + end.Carried - end.Lost)
			t.Logf("%.0f J in, %.0f lost, %.0f carried: %.3g J unexplained", end.Electrical, end.Lost, end.Carried, off)
			assert.Less(t, distance(off, 0), 0.001*end.Electrical, fmt.Sprintf("%+v", end))
		})
	}
}

func distance(a, b float64) float64 { return max(a-b, b-a) }
