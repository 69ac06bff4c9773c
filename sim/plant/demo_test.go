package plant

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

func TestHeatUpIsALittleSlowerThanHandArithmetic(t *testing.T) {
	// 19.8 litres by 0.998 kg, 4.18 kJ/(kg K) and 25 K at 1 kW: 2065 s without
	// any loss, steel or plate.
	const byHand = 19.8 * 0.998 * 4.18 * 25 / 1.0
	assert.InDelta(t, 2065, byHand, 1)
	r := demoRig(t)
	r.want = heating
	took := r.until(2*time.Hour, func(truth Truth) bool { return truth.Bath >= zero+45 }).Seconds()
	t.Logf("by hand %.0f s, the model %.0f s", byHand, took)
	assert.True(t, took > 1.03*byHand && took < 1.15*byHand, "%g s", took)

	c := demo(t)
	w := calm(c)
	w.LidOn = false
	open := newRig(t, c, w)
	open.want = heating
	assert.Greater(t, open.until(2*time.Hour, func(truth Truth) bool { return truth.Bath >= zero+45 }).Seconds(),
		took+60, "a lid saves minutes")
}

func TestCabinetAndDriversInANormalRun(t *testing.T) {
	c := demo(t)
	w := calm(c)
	w.Bath = zero + 45
	r := newRig(t, c, w)
	r.want = emitting
	r.run(30 * time.Minute)
	truth := r.Truth()
	assert.InDelta(t, 12.5, truth.Cabinet-w.Room, 2.5, "the cabinet's air is 10 to 15 K above the room")
	assert.InDelta(t, 90, truth.Winding[0]-zero, 10, "a winding is at 80 to 100 degC")
	assert.InDelta(t, 2.5, truth.Joint[0]-truth.Bath, 2.5, "a joint is a little above the bath")
	assert.InDelta(t, 500, truth.TotalWatts, 1, "6 banks of 81 W, 2 fans of 4 W, 6 W standby")
	assert.Equal(t, "111111", truth.Emitting.Text(6))
	used := truth.WindingAge[0]
	assert.Less(t, used, 0.01, "half an hour at 90 degC costs seconds of life at 155 degC")

	r.want = airless
	r.Faults.StopBridged = true // or the thermal switches would end it
	took := r.until(15*time.Minute, func(truth Truth) bool { return truth.Winding[0] > zero+155 })
	t.Logf("without air a winding is at 155 degC after %v", took)
	assert.Greater(t, took, 2*time.Minute)
	r.run(20 * time.Minute)
	truth = r.Truth()
	assert.Greater(t, truth.Winding[0], zero+180.0)
	assert.Greater(t, truth.WindingAge[0]-used, 0.5, "and now more than its time")
}

func TestDryTankRunsAway(t *testing.T) {
	c := demo(t)
	w := calm(c)
	w.Litres = 0
	r := newRig(t, c, w)
	r.want = heating
	took := r.until(2*time.Minute, func(truth Truth) bool { return truth.Plate > zero+120 })
	t.Logf("the plate of a dry tank is at 120 degC after %v", took)

	// With liquid the plate stays some 20 K above the bath, and at a low level
	// it is hotter than at a usual one.
	full := demoRig(t)
	full.want = heating
	full.run(5 * time.Minute)
	assert.InDelta(t, 17, full.Truth().Plate-full.Truth().Bath, 5)
	w.Litres = 900 * 200 * 40 / 1e6
	low := newRig(t, c, w)
	low.want = heating
	low.run(5 * time.Minute)
	assert.Greater(t, low.Truth().Plate-low.Truth().Bath, 1.2*(full.Truth().Plate-full.Truth().Bath))
}

func TestDryEmittersDrawLessAndHeatTheirJoints(t *testing.T) {
	c := demo(t)
	w := calm(c)
	wet := newRig(t, c, w)
	w.Litres = 0
	dry := newRig(t, c, w)
	for _, r := range []*rig{wet, dry} {
		r.want = emitting
		r.run(2 * time.Minute)
	}
	assert.InDelta(t, 81, wet.Truth().BankWatts[0], 0.1)
	assert.InDelta(t, 0.45*81, dry.Truth().BankWatts[0], 0.1)
	wetRise, dryRise := wet.Truth().Joint[0]-w.Bath, dry.Truth().Joint[0]-w.Bath
	assert.Greater(t, dryRise, 30.0)
	assert.Less(t, wetRise, 5.0)
}
