package health

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
)

// bathWatch looks for what liquid does not do by itself: fall fast, or warm in
// one place only.
type bathWatch struct {
	// slow follows each probe with a lag, so that its distance from the present
	// reading is a fall; has says that there has been one.
	slow     [2]float64
	has      [2]bool
	since    time.Duration // of the last finding
	told     bool
	rise     [2]float64 // degrees at the start of the heating
	hasRise  bool
	toldOut  [2]bool
	splitFor time.Duration
}

const (
	// slowLag is that of the slow follower.
	slowLag = 15.0
	// pouredFall is how far under the slow follower the bath must be: no bath
	// that is worth heating cools by this in a quarter of a minute.
	pouredFall = 0.4
	// quiet is how long nothing is said after a finding.
	quiet = time.Minute
	// outApart and outShare tell a probe that hangs in the air: the two have
	// warmed by so many kelvins differently, and one by less than this share
	// of the other.
	outApart, outShare = 0.8, 0.5
	splitLeast         = 5 * time.Second
)

func (b *bathWatch) observe(cfg *Config, in *Input, elapsed time.Duration, h *heating, events *Events) {
	if b.since += elapsed; b.since >= quiet {
		b.told = false
	}
	if fell, to := b.bothFell(cfg, in, elapsed.Seconds()); fell > 0 {
		h.restart() // it is another bath, for as long as it falls
		if !b.told {
			events.Add(Event{At: in.Snapshot.Time, Kind: PouredIn, Value: kelvin(fell), Base: kelvin(to)})
		}
		b.told, b.since = true, 0
	}
	b.split(cfg, in, elapsed, events)
}

// bothFell returns by how many kelvins, at the least, every probe is under its
// slow follower, and to which temperature; 0 where not all have fallen.
func (b *bathWatch) bothFell(cfg *Config, in *Input, seconds float64) (fell, to float64) {
	any := false
	for place := range b.slow { // hal.BathA, hal.BathB
		reading, ok := in.Snapshot.Probes[place].Within(cfg.MaxAge)
		if !ok {
			continue
		}
		t := celsius(reading)
		if !b.has[place] {
			b.slow[place], b.has[place] = t, true
		}
		b.slow[place] += float64((t - b.slow[place]) * seconds / (slowLag + seconds))
		if drop := b.slow[place] - t; !any || drop < fell {
			fell, to = drop, t
		}
		any = true
	}
	if fell < pouredFall {
		return 0, 0
	}
	return fell, to
}

// split compares how far the two probes have warmed in this session.
func (b *bathWatch) split(cfg *Config, in *Input, elapsed time.Duration, events *Events) {
	p := &in.Snapshot.Probes
	ta, okA := p[hal.BathA].Within(cfg.MaxAge)
	tb, okB := p[hal.BathB].Within(cfg.MaxAge)
	if !okA || !okB {
		return
	}
	now := [2]float64{celsius(ta), celsius(tb)}
	if !b.hasRise {
		b.rise, b.hasRise = now, true
	}
	apart := (now[0] - b.rise[0]) - (now[1] - b.rise[1])
	place, most := 1, now[0]-b.rise[0]
	if apart < 0 {
		place, most, apart = 0, now[1]-b.rise[1], -apart
	}
	// The one that has fallen behind, or has fallen outright.
	least := most - apart
	if apart < outApart || least > outShare*max(most, 0) {
		b.splitFor = 0
		return
	}
	if b.splitFor += elapsed; b.splitFor >= splitLeast && !b.toldOut[place] {
		b.toldOut[place] = true
		events.Add(Event{At: in.Snapshot.Time, Kind: ProbeOut, Place: uint8(place), Value: kelvin(least), Base: kelvin(most)})
	}
}

func kelvin(k float64) int64 { return int64(k * float64(physic.Kelvin)) }
