package interlock

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
)

// The causes that look at the bath, its probes and its level.

// hottest returns the hottest bath probe that gives a reading. What a probe
// cannot measure is no reading; a change that is too fast still is one.
func (v view) hottest() (temperature int64, age time.Duration, ok bool) {
	for _, i := range [...]int{hal.BathA, hal.BathB} {
		if !v.cfg.Probes.Fitted[i] {
			continue
		}
		reading := &v.in.Snapshot.Probes[i]
		t, good := reading.Within(v.cfg.Probes.MaxAge)
		if good = good && v.cfg.Probes.implausible(t, 0, 0) == believable; good && (!ok || int64(t) > temperature) {
			temperature, age, ok = int64(t), reading.Age, true
		}
	}
	return temperature, age, ok
}

// bathOver judges the hottest bath probe against a limit.
func (v view) bathOver(limit, hysteresis physic.Temperature) Finding {
	t, age, ok := v.hottest()
	if !ok {
		return Finding{Verdict: Unknown, Limit: int64(limit)}
	}
	return over(t, int64(limit), int64(hysteresis), v.held, age)
}

func bathHighLimit(v view, _ int) Finding { return v.bathOver(v.cfg.Probes.BathLimit, 0) }

func bathAboveRecipe(v view, _ int) Finding {
	if v.in.RecipeLimit == 0 {
		return idle
	}
	return v.bathOver(v.in.RecipeLimit, v.cfg.Probes.Hysteresis)
}

func bathFarAboveRecipe(v view, _ int) Finding {
	if v.in.RecipeLimit == 0 {
		return idle
	}
	return v.bathOver(v.in.RecipeLimit+v.cfg.Probes.EmissionAbove, v.cfg.Probes.Hysteresis)
}

func levelLow(v view, _ int) Finding {
	return closed(v.cfg.FloatFitted, v.in.Snapshot.Contacts.LevelOK == hal.Closed)
}

// Reasons of "bath too small".
const (
	tooLittle = iota
	heaterBare
	heatMissing
	unloaded
)

// bathTooSmall stands when even the top of the estimate's band is under the
// minimum, when the heater's heat does not find its way, and when nothing loads
// the emitters. Without an estimate the float switch answers alone.
func bathTooSmall(v view, _ int) Finding {
	est := v.in.Estimates
	if est.Unloaded.Valid {
		return Finding{Verdict: Standing, Reason: unloaded, Value: est.Unloaded.Value, Age: est.Unloaded.Age}
	}
	switch est.Heat {
	case HeaterBare:
		return Finding{Verdict: Standing, Reason: heaterBare}
	case HeatMissing:
		return Finding{Verdict: Standing, Reason: heatMissing}
	}
	if !est.Volume.Valid {
		return idle
	}
	most, limit := int64(est.Volume.Value+est.VolumeBand), int64(v.cfg.VolumeMinimum)
	if most < limit {
		return standing(most, limit, est.Volume.Age)
	}
	return clear(most, limit, est.Volume.Age)
}

// What can be wrong with a probe's value; the reasons of "probe fault".
const (
	believable = iota
	tooCold
	tooHot
	powerOnValue
	tooFast
)

// implausible returns what is wrong with a value, given the last one that could
// be believed and how long ago that was.
func (p *ProbeConfig) implausible(value, last physic.Temperature, since Timer) uint8 {
	switch {
	case value < p.Low:
		return tooCold
	case value > p.High:
		return tooHot
	case p.PowerOn != 0 && value == p.PowerOn:
		return powerOnValue
	}
	if last == 0 {
		return believable
	}
	apart := value - last
	if apart < 0 {
		apart = -apart
	}
	// In seconds and microkelvin, so that half an hour at any rate fits.
	reach := int64(p.Step)/1000 + int64(p.Rate)/1000*int64(since/1000)/1000
	if int64(apart)/1000 > reach {
		return tooFast
	}
	return believable
}

func probeFault(v view, place int) Finding {
	if !v.cfg.Probes.Fitted[place] {
		return idle
	}
	reading := &v.in.Snapshot.Probes[place]
	value, ok := reading.Within(v.cfg.Probes.MaxAge)
	if !ok {
		return Finding{Verdict: Unknown, Age: reading.Age}
	}
	last := v.mem.Plausible[place]
	reason := v.cfg.Probes.implausible(value, last, v.mem.PlausibleFor[place])
	if reason == believable {
		return clear(int64(value), 0, reading.Age)
	}
	finding := standing(int64(value), 0, reading.Age)
	finding.Reason = reason
	switch reason {
	case tooCold:
		finding.Limit = int64(v.cfg.Probes.Low)
	case tooHot:
		finding.Limit = int64(v.cfg.Probes.High)
	case tooFast:
		finding.Limit = int64(last)
	}
	return finding
}

func probesDisagree(v view, _ int) Finding {
	p := &v.cfg.Probes
	if !p.Fitted[hal.BathA] || !p.Fitted[hal.BathB] {
		return idle
	}
	a, b := &v.in.Snapshot.Probes[hal.BathA], &v.in.Snapshot.Probes[hal.BathB]
	ta, okA := a.Within(p.MaxAge)
	tb, okB := b.Within(p.MaxAge)
	limit := int64(p.Apart)
	if !okA || !okB || p.implausible(ta, 0, 0) != believable || p.implausible(tb, 0, 0) != believable {
		return Finding{Verdict: Unknown, Limit: limit} // "probe fault" stands
	}
	apart := ta - tb
	if apart < 0 {
		apart = -apart
	}
	return over(int64(apart), limit, 0, false, max(a.Age, b.Age))
}
