package health

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
	"bathtender/interlock"
)

// heating weighs the liquid by its heat: the joules that go in against the
// kelvins that it warms.
type heating struct {
	on      time.Duration // the heater has been on without a break
	joules  float64       // since from was taken
	from    float64       // degrees Celsius
	hasFrom bool
}

const (
	// The plate and the probe lag; until they follow, the slope means nothing.
	heatingLag = 60 * time.Second
	// So much warming makes the steps of the probe small beside it.
	heatingRise = 2.0
	// Losses are not known yet, nor how evenly the bath is mixed.
	heatingBand = 0.25
)

func (h *heating) observe(cfg *Config, in *Input, elapsed time.Duration, est *interlock.Estimates) {
	t, okT := bath(cfg, in.Snapshot)
	w, okW := watts(cfg, &in.Snapshot.Meter)
	if !okT || !okW || !in.Commanded.Heater || in.Commanded.Banks != 0 {
		h.on, h.joules, h.hasFrom = 0, 0, false
		h.forecast(cfg, in, t, okT, est)
		return
	}
	h.on += elapsed
	switch {
	case h.on < heatingLag:
	case !h.hasFrom:
		h.from, h.joules, h.hasFrom = t, 0, true
	default:
		h.joules += float64(w * elapsed.Seconds())
		if rise := t - h.from; rise >= heatingRise {
			litres := (h.joules/rise - cfg.TankHeat) / cfg.LitreHeat
			est.Volume = hal.Fresh(hal.Volume(max(litres, 0) * float64(hal.Litre)))
			est.VolumeBand = hal.Volume(max(litres, 0) * heatingBand * float64(hal.Litre))
		}
	}
	h.forecast(cfg, in, t, okT, est)
}

// forecast works out the time to the set temperature, with the liquid that is
// known, else with the usual fill.
func (h *heating) forecast(cfg *Config, in *Input, t float64, ok bool, est *interlock.Estimates) {
	est.ToSet = hal.Reading[time.Duration]{}
	power := float64(cfg.Heater) / float64(physic.Watt)
	if !ok || in.Recipe == nil || in.Recipe.Set == 0 || power <= 0 {
		return
	}
	volume := cfg.Fill
	if est.Volume.Valid {
		volume = est.Volume.Value
	}
	capacity := float64(float64(volume)/float64(hal.Litre)*cfg.LitreHeat) + cfg.TankHeat
	seconds := max(celsius(in.Recipe.Set)-t, 0) * capacity / power
	est.ToSet = hal.Fresh(time.Duration(seconds * float64(time.Second)))
}

// bath returns the mean of the bath probes in degrees Celsius.
func bath(cfg *Config, s *hal.Snapshot) (float64, bool) {
	sum, n := 0.0, 0
	for _, i := range [...]int{hal.BathA, hal.BathB} {
		if t, ok := s.Probes[i].Within(cfg.MaxAge); ok {
			sum += celsius(t)
			n++
		}
	}
	if n == 0 {
		return 0, false
	}
	return sum / float64(n), true
}

func celsius(t physic.Temperature) float64 {
	return float64(t-physic.ZeroCelsius) / float64(physic.Kelvin)
}
