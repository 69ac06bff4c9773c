package health

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/recipe"
	"bathtender/firmware/thermal"
	"bathtender/hal"
	"bathtender/interlock"
)

// forecast works out, now and then, what will be: when the bath is warm, how
// hot the clean ends, how fast the liquid goes.
type forecast struct {
	due    time.Duration
	litres float64 // last known; 0 for not known
	room   float64
	has    bool
}

const (
	forecastEvery = 3 * time.Second
	// intoBath is the share of a bank's watts that ends in the bath: drivers of
	// this kind lose 10 to 20 % (common practice, no source). The forecast must
	// rather be too hot than too cold.
	intoBath = 0.85
	// margin is how far under the recipe's limit the end of the clean is aimed
	// at: what two probes, the plate's heat and the meter can be wrong by.
	margin = 0.5
	// steps are those in which the future is worked out.
	steps = 5
)

func (f *forecast) observe(cfg *Config, in *Input, elapsed time.Duration, h *heating, est *interlock.Estimates) {
	if est.Volume.Valid {
		f.litres = float64(est.Volume.Value) / float64(hal.Litre)
	}
	if h.hasFrom {
		f.room, f.has = h.room, true
	}
	if f.due -= elapsed; f.due > 0 {
		return
	}
	f.due = forecastEvery
	t, ok := bath(cfg, in.Snapshot)
	if !ok || in.Recipe == nil || !f.has {
		est.ToSet, est.PreheatTo, est.AtEnd = hal.Reading[time.Duration]{}, hal.Reading[physic.Temperature]{}, hal.Reading[physic.Temperature]{}
		return
	}
	volume := cfg.Fill
	if f.litres > 0 {
		volume = hal.Volume(f.litres * float64(hal.Litre))
	}
	capacity := capacityOf(cfg, volume)
	f.preheat(cfg, in, est, t, capacity, volume)
	f.clean(cfg, in, est, t, capacity, volume)
	f.evaporate(cfg, in, est, t, volume)
}

// preheat works out the time to the set temperature.
func (f *forecast) preheat(cfg *Config, in *Input, est *interlock.Estimates, t, capacity float64, volume hal.Volume) {
	est.ToSet = hal.Reading[time.Duration]{}
	set := in.Recipe.Set
	if set == 0 || cfg.Heater == 0 {
		return
	}
	target := celsius(set)
	if est.PreheatTo.Valid {
		target = min(target, celsius(est.PreheatTo.Value))
	}
	if t >= target {
		est.ToSet = hal.Fresh(time.Duration(0))
		return
	}
	power := float64(watt(cfg.Heater) * f.mains(cfg, in))
	seconds := 0.0
	for i := range steps {
		middle := t + float64((target-t)*(float64(i)+0.5)/steps)
		left := power - float64(lossOf(cfg, in, middle, f.room, volume))
		if left < power/20 {
			return // not with this heater
		}
		seconds += float64((target-t)/steps*capacity) / left
	}
	est.ToSet = hal.Fresh(time.Duration(seconds * float64(time.Second)))
}

// mains returns the square of the mains voltage over the nominal one.
func (f *forecast) mains(cfg *Config, in *Input) float64 {
	v, ok := in.Snapshot.Meter.Volts.Within(cfg.MaxAge)
	if !cfg.ReportsVolts || !ok || v <= 0 {
		return 1
	}
	ratio := float64(v) / float64(cfg.Nominal)
	return float64(ratio * ratio)
}

// clean works out how hot the rest of the emission leaves the bath, and from
// how hot a bath it may start to end under the recipe's limit.
func (f *forecast) clean(cfg *Config, in *Input, est *interlock.Estimates, t, capacity float64, volume hal.Volume) {
	power := 0.0
	for i := range cfg.Banks {
		power += cfg.baseline(i)
	}
	power = float64(power * intoBath * f.mains(cfg, in))
	step := in.ToCome.Seconds() / steps
	forward := f.after(cfg, in, t, power, capacity, volume, step)
	if set := in.Recipe.Set; set != 0 && (in.Phase == recipe.Preheat || in.Phase == recipe.Purge) {
		// It first gets warmer; the end is that of a start at the target.
		forward = max(forward, f.after(cfg, in, celsius(set), power, capacity, volume, step))
	}
	est.AtEnd = hal.Fresh(kelvins(forward))
	// Back from the limit: the hottest start. Losses are taken at half, since
	// what is not lost heats.
	limit := celsius(in.Recipe.Limit) - margin
	start := limit
	for range steps {
		rate := (power - float64(lossOf(cfg, in, start, f.room, volume)/2)) / capacity
		start -= float64(max(rate, 0) * step)
	}
	est.PreheatTo = hal.Fresh(kelvins(start))
}

// after returns how hot a bath is at the end of an emission that it starts at a
// temperature.
func (f *forecast) after(cfg *Config, in *Input, t, power, capacity float64, volume hal.Volume, step float64) float64 {
	for range steps {
		t += float64((power - lossOf(cfg, in, t, f.room, volume)) / capacity * step)
	}
	return t
}

// evaporate works out how fast the liquid goes and when the minimum is reached.
func (f *forecast) evaporate(cfg *Config, in *Input, est *interlock.Estimates, t float64, volume hal.Volume) {
	loss := vesselOf(cfg, in, volume).Loss(t+thermal.ZeroCelsius, roomOf(f.room))
	litresAnHour := max(loss.Vapour, 0) * 3600 / thermal.WaterDensity(t+thermal.ZeroCelsius) * 1000
	est.Evaporating = hal.Fresh(hal.Volume(litresAnHour * float64(hal.Litre)))
	est.ToMinimum = hal.Reading[time.Duration]{}
	if f.litres <= 0 || litresAnHour < 1e-4 {
		return
	}
	hours := min(max(f.litres-float64(cfg.Minimum)/float64(hal.Litre), 0)/litresAnHour, 9999)
	est.ToMinimum = hal.Fresh(time.Duration(hours * float64(time.Hour)))
}

func kelvins(celsius float64) physic.Temperature {
	return physic.Temperature((celsius + thermal.ZeroCelsius) * float64(physic.Kelvin))
}
