package health

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
)

// bathWatch looks for what liquid does not do by itself: fall fast, or warm in
// one place only.
type bathWatch struct {
	// slow follows the bath's temperature with a lag, so that its distance from
	// the present one is a fall.
	slow     float64
	hasSlow  bool
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
	pouredFall = 0.6
	// quiet is how long nothing is said after a finding.
	quiet = time.Minute
	// outApart and outShare tell a probe that hangs in the air: the two have
	// warmed by so many kelvins differently, and one by less than this share
	// of the other.
	outApart, outShare = 0.8, 0.5
	splitLeast         = 5 * time.Second
)

func (b *bathWatch) observe(cfg *Config, in *Input, elapsed time.Duration, h *heating, events *Events) {
	t, ok := bath(cfg, in.Snapshot)
	if !ok {
		return
	}
	if !b.hasSlow {
		b.slow, b.hasSlow = t, true
	}
	seconds := elapsed.Seconds()
	b.slow += float64((t - b.slow) * seconds / (slowLag + seconds))
	if b.since += elapsed; b.since >= quiet {
		b.told = false
	}
	if b.bothFell(cfg, in) {
		h.restart() // it is another bath, for as long as it falls
		if !b.told {
			events.add(Event{At: in.Snapshot.Time, Kind: PouredIn, Value: kelvin(b.slow - t), Base: kelvin(t)})
		}
		b.told, b.since = true, 0
	}
	b.split(cfg, in, elapsed, events)
}

// bothFell reports whether every probe is under the slow follower.
func (b *bathWatch) bothFell(cfg *Config, in *Input) bool {
	any := false
	for _, i := range [...]int{hal.BathA, hal.BathB} {
		if t, ok := in.Snapshot.Probes[i].Within(cfg.MaxAge); ok {
			if celsius(t) > b.slow-pouredFall {
				return false
			}
			any = true
		}
	}
	return any
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
		events.add(Event{At: in.Snapshot.Time, Kind: ProbeOut, Place: uint8(place), Value: kelvin(least), Base: kelvin(most)})
	}
}

func kelvin(k float64) int64 { return int64(k * float64(physic.Kelvin)) }
