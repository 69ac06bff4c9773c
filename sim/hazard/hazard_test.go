package hazard

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"bathtender/hal"
	"bathtender/sim/plant"
)

const tick = 100 * time.Millisecond

// healthy is a world without any hazard: emission at 50 degC.
func healthy() World {
	truth := &plant.Truth{Bath: 323.15, Plate: 330, Level: 0.11, AirShare: 1, LidOn: true, ContactorClosed: true, Emitting: 0b11}
	truth.Winding[0], truth.Winding[1] = 350, 360
	truth.BankWatts[0], truth.BankWatts[1] = 80, 80
	return World{Truth: truth, Banks: 2, ContactorCommanded: true, Limit: 343.15, Recipe: 328.15, Film: 0.0095}
}

// Each hazard by itself: just inside its limit it never stands, just outside it
// is a hazard once it has stood for longer than it can be tolerated, and one that
// comes and goes is none.
func TestEachHazardStands(t *testing.T) {
	for h, c := range map[Hazard]struct{ in, out func(*World) }{
		WindingTooHot: {func(w *World) { w.Truth.Winding[1] = 273.15 + 155 - 1e-6 }, func(w *World) { w.Truth.Winding[1] = 273.15 + 155.1 }},
		EmittersDry:   {func(w *World) { w.Truth.Level = 0.0095 }, func(w *World) { w.Truth.Level = 0.0094 }},
		NoAir: {func(w *World) { w.Truth.AirShare = 0.19 }, func(w *World) {
			w.Truth.AirShare, w.Truth.Winding[0] = 0.19, 273.15+136
		}},
		PlateTooHot: {func(w *World) { w.Truth.Plate = 273.15 + 149.9 }, func(w *World) { w.Truth.Plate = 273.15 + 150.1 }},
		BathTooHot:  {func(w *World) { w.Truth.Bath, w.Recipe = 343.15+4.9, 0 }, func(w *World) { w.Truth.Bath, w.Recipe = 343.15+5.1, 0 }},
		PartsTooHot: {func(w *World) { w.Truth.Bath = 328.15 + 2.9 }, func(w *World) { w.Truth.Bath = 328.15 + 3.1 }},
		LiveWhenOff: {func(w *World) { w.ContactorCommanded = false; w.Truth.BankWatts = [hal.MaxBanks]float64{} }, func(w *World) {
			w.ContactorCommanded = false
		}},
		LiveOverWetFloor: {func(w *World) { w.Truth.LitresOnFloor = 1 }, func(w *World) { w.Truth.LitresOnFloor = 1.01 }},
		EmissionLidOff:   {func(w *World) { w.Truth.LidOn, w.Truth.Emitting = false, 0 }, func(w *World) { w.Truth.LidOn = false }},
	} {
		row := &Table[h]
		run := func(change func(*World), d time.Duration, flicker bool) Monitor {
			var m Monitor
			for i := range int(d / tick) {
				w := healthy()
				if !flicker || i%10 != 0 {
					change(&w)
				}
				m.Tick(&w, tick)
			}
			return m
		}
		m := run(c.in, 2*row.Tolerable, false)
		assert.Zero(t, m.For[h], "%v stands inside its limit", h)
		m = run(c.out, row.Tolerable, false)
		assert.False(t, m.Has(h), "%v is tolerable for so long", h)
		assert.Equal(t, row.Tolerable, m.For[h])
		m = run(c.out, row.Tolerable+tick, false)
		assert.Equal(t, []Hazard{h}, m.Hazards(), "%v", h)
		m = run(c.out, 10*row.Tolerable, true)
		assert.LessOrEqual(t, m.For[h], time.Second, "%v comes and goes", h)
	}
	w := healthy()
	var m Monitor
	m.Tick(&w, tick)
	assert.Empty(t, m.Hazards())
	assert.InDelta(t, 86.85, m.Worst[WindingTooHot], 1e-9)
}

func TestEveryHazardHasItsReason(t *testing.T) {
	for h := range Count {
		row := &Table[h]
		assert.NotEmpty(t, row.Name)
		assert.NotEmpty(t, row.What)
		assert.NotEmpty(t, row.Why)
		assert.NotEmpty(t, row.Covered)
		assert.Positive(t, row.Tolerable)
		assert.Equal(t, row.Name, h.String())
	}
	assert.Equal(t, "no hazard", Count.String())
}

func TestSafe(t *testing.T) {
	assert.True(t, Safe(&plant.Truth{ContactorClosed: true, FanWatts: 8}))
	assert.False(t, Safe(&plant.Truth{HeaterOn: true}))
	assert.False(t, Safe(&plant.Truth{Emitting: 1}))
}
