package prove

import (
	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
	"bathtender/interlock"
)

func when(b bool) finding {
	if b {
		return bad
	}
	return good
}

// believed returns a probe's temperature where it has one that it can have. The
// rate of its change is not judged here.
func (v *world) believed(place int) (physic.Temperature, bool) {
	c, r := &v.w.rules.Interlock.Probes, v.s.snapshot.Probes[place]
	ok := c.Fitted[place] && fresh(r, c.MaxAge) && c.Low <= r.Value && r.Value <= c.High && (c.PowerOn == 0 || r.Value != c.PowerOn)
	return r.Value, ok
}

func (v *world) warmest() (physic.Temperature, bool) {
	a, okA := v.believed(hal.BathA)
	b, okB := v.believed(hal.BathB)
	if okB && (!okA || b > a) {
		return b, true
	}
	return a, okA
}

func (v *world) bathOver(limit physic.Temperature) finding {
	t, ok := v.warmest()
	if !ok {
		return covered
	}
	return when(t > limit)
}

func bathHigh(v *world, _ int) finding { return v.bathOver(v.w.rules.Interlock.Probes.BathLimit) }

// recipeLimit is that of the first recipe: the views' recipes share it.
func (v *world) recipeLimit() physic.Temperature { return v.w.rules.Recipes[0].Limit }

func aboveRecipe(v *world, _ int) finding {
	if !v.m.Out.Lamp {
		return off
	}
	return v.bathOver(v.recipeLimit())
}

func farAboveRecipe(v *world, _ int) finding {
	if !v.m.Out.Lamp {
		return off
	}
	return v.bathOver(v.recipeLimit() + v.w.rules.Interlock.Probes.EmissionAbove)
}

func probeBad(v *world, place int) finding {
	c := &v.w.rules.Interlock.Probes
	if !c.Fitted[place] {
		return off
	}
	if !fresh(v.s.snapshot.Probes[place], c.MaxAge) {
		return blind
	}
	_, ok := v.believed(place)
	return when(!ok)
}

func probesApart(v *world, _ int) finding {
	c := &v.w.rules.Interlock.Probes
	if !c.Fitted[hal.BathA] || !c.Fitted[hal.BathB] {
		return off
	}
	a, okA := v.believed(hal.BathA)
	b, okB := v.believed(hal.BathB)
	if !okA || !okB {
		return covered
	}
	return when(a-b > c.Apart || b-a > c.Apart)
}

func cabinetWarm(v *world, _ int) finding {
	c := &v.w.rules.Interlock.Probes
	r := v.s.snapshot.Probes[hal.Cabinet]
	if !c.Fitted[hal.Cabinet] {
		return off
	}
	if !fresh(r, c.MaxAge) {
		return covered
	}
	return when(r.Value > c.CabinetLimit)
}

func floatDown(v *world, _ int) finding { return when(v.s.snapshot.Contacts.LevelOK != hal.Closed) }

func tooSmall(v *world, _ int) finding {
	e := v.s.estimates
	little := e.Volume.Valid && e.Volume.Value+e.VolumeBand < v.w.rules.Interlock.VolumeMinimum
	return when(little || e.Unloaded.Valid || e.Heat == interlock.HeaterBare || e.Heat == interlock.HeatMissing)
}
