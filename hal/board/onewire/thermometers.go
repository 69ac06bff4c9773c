package onewire

import (
	"context"
	"errors"
	"fmt"
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
	"bathtender/hal/board/sampled"
)

// Probe is one thermometer.
type Probe struct {
	// Name is what messages call it: "bath probe A".
	Name string
	// Address is as Linux writes it: "28-0123456789ab".
	Address string
	// Bits is the resolution, 9 to 12; 0 leaves it as it is.
	Bits int
}

// Config is what thermometers are read with.
type Config struct {
	Probes []Probe
	// Clock is the monotonic clock of the snapshots.
	Clock func() time.Duration
	// Log takes a sentence when a probe begins to work or ceases to, and why;
	// nil for nobody. It is called from the sampling goroutine.
	Log func(sentence string)
	// Oldest is how old a reading may be; where the bus is too slow for that, it
	// is told. 0 is for no such check.
	Oldest time.Duration
}

// source is how thermometers are reached. One goroutine uses it.
type source interface {
	// convert makes all thermometers measure and waits for it; or reports false
	// where each read measures by itself.
	convert(context.Context) (bool, error)
	read(ctx context.Context, place int) (physic.Temperature, error)
	close()
}

// Thermometers samples the probes of a bus beside the loop.
type Thermometers struct {
	config Config
	source source
	of     []thermometer
	pace   sampled.Condition
	cancel context.CancelFunc
	done   chan struct{}
}

type thermometer struct {
	cell      sampled.Cell[physic.Temperature]
	condition sampled.Condition
	works     string        // the sentence
	skip      int           // rounds in which it is left alone
	stamp     time.Duration // of the last value
	streak    bool          // the last round gave a value too
}

const (
	// rest is between two rounds, and idle where nothing gave a value.
	rest = 50 * time.Millisecond
	idle = time.Second
	// A thermometer that failed is left alone for so many rounds: the kernel
	// tries for about a second, in which the others would grow old.
	skipped = 2
	// A read in the kernel cannot be interrupted, and ends within this.
	lastRead = 3 * time.Second
)

func newThermometers(c Config, s source) *Thermometers {
	t := &Thermometers{config: c, source: s, of: make([]thermometer, len(c.Probes)), pace: sampled.Condition{Log: c.Log}}
	for i := range t.of {
		t.of[i].condition.Log = c.Log
		t.of[i].works = fmt.Sprintf("%s works: 1-Wire digital thermometer %s", c.Probes[i].Name, c.Probes[i].Address)
	}
	return t
}

// Read returns the last value of the probe at a place in the configuration, with
// its age at the given time of the clock: counted from the begin of its
// conversion. It never waits. A failed sample leaves the last value to grow old.
func (t *Thermometers) Read(place int, now time.Duration) hal.Reading[physic.Temperature] {
	return t.of[place].cell.Reading(now)
}

// Start begins to sample, until the context ends or Close. It is called once.
func (t *Thermometers) Start(ctx context.Context) {
	ctx, t.cancel = context.WithCancel(ctx)
	t.done = make(chan struct{})
	go func() {
		defer close(t.done)
		defer t.source.close()
		timer := time.NewTimer(0)
		defer timer.Stop()
		for {
			select {
			case <-ctx.Done():
				return
			case <-timer.C:
			}
			if t.round(ctx) {
				timer.Reset(rest)
			} else {
				timer.Reset(idle)
			}
		}
	}()
}

// Close ends the sampling. The error says that a read in the kernel did not end.
func (t *Thermometers) Close() error {
	if t.cancel == nil {
		return nil
	}
	t.cancel()
	select {
	case <-t.done:
		return nil
	case <-time.After(lastRead):
		return errors.New("a read of a 1-Wire thermometer did not end within 3 s")
	}
}

// round samples each thermometer once and reports whether any gave a value.
func (t *Thermometers) round(ctx context.Context) bool {
	begun := t.config.Clock()
	together, err := t.source.convert(ctx)
	some := false
	for i := range t.of {
		p := &t.of[i]
		if ctx.Err() != nil {
			return some
		}
		if err == nil && p.skip > 0 {
			p.skip--
			continue
		}
		at, value := begun, physic.Temperature(0)
		if !together {
			at = t.config.Clock()
		}
		trouble := err
		if trouble == nil {
			value, trouble = t.source.read(ctx, i)
		}
		if trouble != nil {
			p.condition.Bad(t.config.Probes[i].Name + " gives no reading: " + trouble.Error())
			p.skip, p.streak = min(skipped, len(t.of)-1), false
			continue
		}
		some = true
		t.checkPace(p)
		p.cell.Put(value, at)
		p.stamp, p.streak = at, true
		p.condition.Good(p.works)
	}
	return some
}

// checkPace looks at how old the last value has become, before the next one.
func (t *Thermometers) checkPace(p *thermometer) {
	switch oldest := t.config.Oldest; {
	case oldest == 0 || !p.streak:
	case t.config.Clock()-p.stamp > oldest:
		t.pace.Bad(fmt.Sprintf("the 1-Wire bus is too slow: a reading becomes older than the %v that it may, fewer bits of resolution would help", oldest))
	default:
		t.pace.Good("the 1-Wire bus is fast enough")
	}
}
