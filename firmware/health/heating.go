package health

import (
	"math"
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/thermal"
	"bathtender/hal"
	"bathtender/interlock"
)

func sqrt(x float64) float64 { return math.Sqrt(x) }

// heating weighs the liquid by its heat: the joules that go in against the
// kelvins that it warms, less what it loses on the way.
type heating struct {
	row     [len(lags)]lagged
	rates   rates
	next    int     // the fit to solve at this tick
	from    float64 // first temperature in degrees Celsius
	hasFrom bool
	age     time.Duration // of the probe's reading at the tick before
	lost    float64       // kJ so far
	loss    float64       // W at present, of the usual model
	lossDue time.Duration // until it is worked out anew
	heated  time.Duration // with the heater's watts arriving
	since   time.Duration // the heater's watts first arrived
	room    float64       // degrees Celsius, from the cabinet's air before the session
	hasRoom bool
	blend   blend
	wait    time.Duration // until what has happened is over
	strange int           // samples in a row that are far from the fit
	// known is what was known before the fits were begun anew.
	known struct {
		heat   interlock.Heat
		volume hal.Reading[hal.Volume]
		band   hal.Volume
	}
	// retry asks for a new trial of the heater.
	retry bool
}

const (
	// Losses are known to a factor: humidity, draught and lid differ from what
	// the model takes. 0.4 is the standard deviation of that factor about 1.
	lossSpread = 0.4
	// Nothing is said before so much heat has gone in and had time to arrive.
	leastHeated = 35 * time.Second
	leastSince  = 68 * time.Second
	// A bath that is so far from what all before has led to, for so many
	// samples, is not the bath that it was: something came in, went out or
	// moved. In K.
	strangeLeast   = 0.2
	strangeSamples = 5
	// afterwards is how long a bath that is another one is left to mix, and
	// the probes to follow, before it is weighed anew.
	afterwards = 40 * time.Second
	// heaterOn is the share of its watts from which the heater counts as on.
	heaterOn = 0.25
)

// observe looks at one tick of purge or preheat, while no bank is on.
func (h *heating) observe(cfg *Config, in *Input, elapsed time.Duration) {
	seconds := elapsed.Seconds()
	t, ok := bath(cfg, in.Snapshot)
	if !ok {
		return
	}
	power := heaterWatts(cfg, in)
	h.rates.of(elapsed)
	if h.wait > 0 {
		h.wait -= elapsed
		for i := range h.row {
			h.row[i].step(power, &h.rates, i)
			h.row[i].joules = 0
		}
		return
	}
	if !h.hasFrom {
		h.begin(cfg, in, t)
	}
	if power > heaterOn*watt(cfg.Heater) {
		h.heated += elapsed
	}
	if h.heated > 0 {
		h.since += elapsed
	}
	if h.lossDue -= elapsed; h.lossDue <= 0 {
		h.loss, h.lossDue = lossOf(cfg, in, t, h.room, cfg.Fill), 2*time.Second
	}
	h.lost += float64(h.loss * seconds / 1000)
	for i := range h.row {
		h.row[i].step(power, &h.rates, i)
	}
	age := in.Snapshot.Probes[freshest(in.Snapshot)].Age
	if age <= h.age { // a new reading
		if h.surprised(t) {
			h.restart()
			return
		}
		for i := range h.row {
			if h.strange == 0 { // what may be another bath must not colour this one
				h.row[i].sums.add(h.row[i].joules, h.lost, t-h.from)
			}
		}
	}
	h.age = age
	h.solve(cfg)
}

// surprised reports whether the bath is no longer the one that was weighed.
func (h *heating) surprised(t float64) bool {
	if !h.knows() {
		return false
	}
	best := &h.row[h.blend.best]
	f := &best.fit
	due := h.from + float64(f.a*best.joules) - float64(f.b*h.lost) + f.c
	if off := t - due; off < strangeLeast && off > -strangeLeast {
		h.strange = 0
		return false
	}
	h.strange++
	return h.strange >= strangeSamples
}

// restart begins to weigh anew, with a new trial of the heater, and keeps what
// was known until more is.
func (h *heating) restart() {
	fresh := heating{known: h.known, retry: true, room: h.room, hasRoom: h.hasRoom, wait: afterwards}
	// The plate still holds the heat that it held.
	for i := range h.row {
		fresh.row[i].plate, fresh.row[i].probe = h.row[i].plate, h.row[i].probe
	}
	fresh.known.heat = min(fresh.known.heat, interlock.HeatArrives)
	*h = fresh
}

// knows reports whether enough heat has gone in to say something.
func (h *heating) knows() bool {
	return h.heated >= leastHeated && h.since >= leastSince && h.blend.ok
}

// begin takes the first temperature, and the cabinet's air for the room's.
func (h *heating) begin(cfg *Config, in *Input, t float64) {
	h.from, h.hasFrom = t, true
	if air, ok := in.Snapshot.Probes[hal.Cabinet].Within(cfg.MaxAge); ok && !h.hasRoom {
		h.room, h.hasRoom = celsius(air), true
	}
	if !h.hasRoom {
		h.room, h.hasRoom = min(t, 20), true
	}
	usual := 1000 / capacityOf(cfg, cfg.Fill)
	h.blend = blend{rise: usual, spread: usual}
}

// solve brings one of the fits up to date, and after the last of them the
// blend.
func (h *heating) solve(cfg *Config) {
	// That b is a, give or take: the losses are those of the model.
	a := max(h.blend.rise, 1e-4)
	ratio := float64(noise*noise) * effective / float64(float64(lossSpread*a)*float64(lossSpread*a))
	f := &h.row[h.next]
	f.fit = f.sums.solve(belief{ratio: ratio})
	if h.next++; h.next < len(h.row) {
		return
	}
	h.next = 0
	// Even the brim and half as much again would warm more than this.
	if b := together(&h.row, 1000/capacityOf(cfg, cfg.Brim+cfg.Brim/2)); b.ok {
		h.blend = b
	}
}

// tell turns what is known into estimates.
func (h *heating) tell(cfg *Config, est *interlock.Estimates) {
	est.Heat, est.Volume, est.VolumeBand = h.known.heat, h.known.volume, h.known.band
	est.Retry = h.retry
	if !h.knows() {
		return
	}
	h.retry = false
	b := &h.blend
	switch {
	case b.usual >= 0.05:
		est.Heat = interlock.HeatArrives
	case b.bare >= 0.5:
		est.Heat = interlock.HeaterBare
	default:
		est.Heat = interlock.HeatMissing
		return
	}
	if !(b.rise > float64(3*b.spread)) {
		return // so far it could be any amount
	}
	capacity := 1000 / b.rise
	litres := (capacity - cfg.TankHeat) / cfg.LitreHeat
	// The spread of the fit, of the tank's own heat, and of the model.
	relative := b.spread / b.rise
	spread := float64(capacity*relative) / cfg.LitreHeat
	tank := 0.2 * cfg.TankHeat / cfg.LitreHeat
	model := 0.02 * litres
	band := 1.96 * sqrt(float64(spread*spread)+float64(tank*tank)+float64(model*model))
	if !(litres > 0) {
		litres = 0
	}
	est.Volume = hal.Fresh(hal.Volume(litres * float64(hal.Litre)))
	est.VolumeBand = hal.Volume(band * float64(hal.Litre))
	h.known.heat, h.known.volume, h.known.band = est.Heat, est.Volume, est.VolumeBand
}

// capacityOf returns the heat capacity of the filled tank in J/K.
func capacityOf(cfg *Config, v hal.Volume) float64 {
	return cfg.TankHeat + float64(cfg.LitreHeat*float64(v)/float64(hal.Litre))
}

// heaterWatts returns the watts that the heater takes, as the meter shows them
// while no bank is on.
func heaterWatts(cfg *Config, in *Input) float64 {
	w, ok := in.Snapshot.Meter.Watts.Within(cfg.MaxAge)
	if !ok || !in.Commanded.Contactor {
		return 0
	}
	others := watt(cfg.Standby)
	if in.Commanded.Fans {
		others += watt(cfg.FanDraw)
	}
	return max(watt(w)-others, 0)
}

// lossOf returns the watts that the bath loses by the usual model.
func lossOf(cfg *Config, in *Input, t, room float64, v hal.Volume) float64 {
	return vesselOf(cfg, in, v).Loss(t+thermal.ZeroCelsius, roomOf(room)).Heat()
}

// vesselOf returns the tank with its surface. Where no switch tells of the lid,
// the tank is taken for open when it has none.
func vesselOf(cfg *Config, in *Input, v hal.Volume) thermal.Vessel {
	lid := cfg.Lid
	if cfg.LidSwitch {
		lid = in.Snapshot.Contacts.LidClosed == hal.Closed
	}
	level := float64(v) / float64(hal.Litre) / 1000 / float64(cfg.Length*cfg.Width)
	return thermal.Vessel{Length: cfg.Length, Width: cfg.Width, Level: level, Emissivity: 0.1, LidOn: lid, Activity: thermal.Agitated}
}

func roomOf(celsius float64) thermal.Room {
	k := celsius + thermal.ZeroCelsius
	return thermal.Room{Temperature: k, Humidity: 0.5, Speed: 0.1, Under: k}
}

// freshest returns the place of the bath probe with the newest reading.
func freshest(s *hal.Snapshot) int {
	a, b := &s.Probes[hal.BathA], &s.Probes[hal.BathB]
	if b.Valid && (!a.Valid || b.Age < a.Age) {
		return hal.BathB
	}
	return hal.BathA
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

func watt(p physic.Power) float64 { return float64(p) / float64(physic.Watt) }
