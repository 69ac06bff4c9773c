package health

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/recipe"
	"bathtender/hal"
	"bathtender/interlock"
)

// rig is a meter that shows at once what six banks of two emitters and a heater
// take, on a mains of any voltage.
type rig struct {
	cfg     Config
	mem     Memory
	est     interlock.Estimates
	found   Events
	snap    hal.Snapshot
	out     hal.Outputs
	takes   [hal.MaxBanks]float64 // W at the nominal voltage
	welded  hal.Banks
	heater  float64
	missing float64 // W that no bank explains
	volts   float64
	noise   float64
	said    []string
}

func newRig() *rig {
	r := &rig{volts: 230, heater: 1000, noise: 100}
	r.cfg = Config{
		Nominal: 230 * physic.Volt, ReportsVolts: true, Standby: 6 * physic.Watt, FanDraw: 14 * physic.Watt,
		Heater: 1000 * physic.Watt, Banks: 6, Settle: 300 * time.Millisecond, MaxAge: 2 * time.Second,
		Fill: 19800 * hal.MilliLitre, Minimum: 14400 * hal.MilliLitre, Brim: 27 * hal.Litre,
		Length: 0.9, Width: 0.2, TankHeat: 2000, LitreHeat: 4140,
	}
	for i := range 6 {
		r.cfg.Draw[i], r.cfg.Emitters[i], r.takes[i] = 81*physic.Watt, 2, 81
	}
	r.out = hal.Outputs{Contactor: true, Fans: true}
	return r
}

func (r *rig) run(d time.Duration) {
	const tick = 100 * time.Millisecond
	for range int(d / tick) {
		r.snap.Time += tick
		watts := -r.missing
		for i := range 6 {
			if r.out.Banks.Has(i) || r.welded.Has(i) {
				watts += r.takes[i]
			}
		}
		if r.out.Heater {
			watts += r.heater
		}
		square := r.volts * r.volts / (230 * 230)
		r.noise = -r.noise // a meter is never quite still
		r.snap.Meter.Watts = hal.Fresh(physic.Power((watts*square+20*square)*1e9 + r.noise*float64(r.snap.Time/tick%7)))
		r.snap.Meter.Volts = hal.Fresh(physic.ElectricPotential(r.volts*1e9 + r.noise))
		r.found.Empty()
		Observe(&r.cfg, &r.mem, &Input{Snapshot: &r.snap, Commanded: r.out, Phase: recipe.Clean, Recipe: &recipe.Recipe{}}, &r.est, &r.found)
		for _, e := range r.found.All() {
			r.said = append(r.said, e.Sentence())
		}
	}
}

// start starts the banks one after another.
func (r *rig) start() {
	r.run(2 * time.Second)
	for i := range 6 {
		r.out.Banks |= hal.Bank(i)
		r.run(2 * time.Second)
	}
}

// call leaves each bank off for a moment.
func (r *rig) call() {
	for i := range 6 {
		r.out.Banks &^= hal.Bank(i)
		r.run(2 * time.Second)
		r.out.Banks |= hal.Bank(i)
		r.run(2 * time.Second)
	}
}

func (r *rig) bank(i int) float64 { return float64(r.est.Bank[i].Value) / 1e9 }

func TestEachBankIsCreditedWithItsStep(t *testing.T) {
	for _, volts := range []float64{207, 230, 253} {
		r := newRig()
		r.volts = volts
		r.takes = [hal.MaxBanks]float64{80, 81, 82, 83, 79, 78}
		r.start()
		for i := range 6 {
			require.True(t, r.est.Bank[i].Valid)
			assert.InDelta(t, r.takes[i], r.bank(i), 1e-6, "bank %d at %.0f V, corrected to nominal", i+1, volts)
		}
		r.call()
		assert.Empty(t, r.said)
	}
}

// What drops out is told as a name and a number.
func TestWhatDropsOutIsTold(t *testing.T) {
	for _, c := range []struct {
		name  string
		fault func(*rig)
		want  []string
	}{
		{"one emitter", func(r *rig) { r.takes[2] = 40.2 }, []string{"bank 3 is 41 W short of its 81 W baseline: one emitter's worth"}},
		{"a whole bank", func(r *rig) { r.takes[4] = 0 }, []string{"bank 5 is 81 W short of its 81 W baseline: the whole bank"}},
		{"two banks", func(r *rig) { r.takes[0], r.takes[5] = 0, 40 }, []string{
			"bank 1 is 81 W short of its 81 W baseline: the whole bank", "bank 6 is 41 W short of its 81 W baseline: one emitter's worth"}},
		{"the two banks that are asked first", func(r *rig) { r.takes[0], r.takes[1] = 0, 0 }, []string{
			"bank 1 is 81 W short of its 81 W baseline: the whole bank", "bank 2 is 81 W short of its 81 W baseline: the whole bank"}},
		{"all banks", func(r *rig) {
			for i := range 6 {
				r.takes[i] *= 0.45
			}
		}, []string{"all banks together take 219 W of their 486 W: no liquid loads them, the tank is dry or drained"}},
		{"something else", func(r *rig) { r.missing = 60 }, []string{"60 W of the banks' 486 W are missing and no bank explains it: something unknown"}},
		{"a relay that does not open", func(r *rig) { r.welded = hal.Bank(1) }, []string{"bank 2 was switched off and its 81 W stayed: its relay does not open"}},
		{"more than due", func(r *rig) { r.takes[3] = 101 }, []string{"bank 4 takes 101 W, 20 W more than its baseline: something unknown"}},
		{"nothing", func(*rig) {}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := newRig()
			r.start()
			r.call()
			c.fault(r)
			r.run(5 * time.Second)
			r.call()
			r.call()
			assert.Equal(t, c.want, r.said)
		})
	}
}

func TestMissingWattsAskForARollCall(t *testing.T) {
	r := newRig()
	r.start()
	require.False(t, r.est.RollCall)
	r.takes[2] = 40
	r.run(900 * time.Millisecond)
	require.False(t, r.est.RollCall)
	r.run(time.Second)
	require.True(t, r.est.RollCall)
	assert.False(t, r.est.Bank[2].Valid, "nothing is said of single banks before all have been asked")
	r.call()
	assert.False(t, r.est.RollCall)
	assert.InDelta(t, 40, r.bank(2), 1e-6)
}

// An emitter that dies in another bank's turn makes that one's step look short.
// It is asked again before anybody is blamed.
func TestALossInAnotherBanksTurnIsNotBlamedOnIt(t *testing.T) {
	for _, late := range []time.Duration{100 * time.Millisecond, time.Second, 1900 * time.Millisecond, 2100 * time.Millisecond, 3 * time.Second} {
		r := newRig()
		r.start()
		r.call()
		r.out.Banks &^= hal.Bank(5)
		r.run(min(late, 2*time.Second))
		if late < 2*time.Second {
			r.takes[4] = 40.2
			r.run(2*time.Second - late)
		}
		r.out.Banks |= hal.Bank(5)
		r.run(max(late-2*time.Second, 0))
		r.takes[4] = 40.2
		r.run(4 * time.Second)
		r.call()
		r.call()
		assert.Equal(t, []string{"bank 5 is 41 W short of its 81 W baseline: one emitter's worth"}, r.said, "%v into the turn of bank 6", late)
		assert.InDelta(t, 81, r.bank(5), 1e-6)
	}
}

func TestUnloadedEmittersAreSeenWithoutARollCall(t *testing.T) {
	r := newRig()
	r.start()
	for i := range 6 {
		r.takes[i] *= 0.45
	}
	r.run(1200 * time.Millisecond)
	require.True(t, r.est.Unloaded.Valid)
	assert.InDelta(t, 450, r.est.Unloaded.Value, 1)
}

func TestAHeaterWithAnOpenPartIsTold(t *testing.T) {
	r := newRig()
	r.heater = 520
	r.run(2 * time.Second)
	r.out.Heater = true
	r.run(2 * time.Second)
	assert.Equal(t, []string{"the heater takes 520 W of its 1000 W: a part of its element is open"}, r.said)
}

func TestAMeterWithoutVoltsIsTakenAsItIs(t *testing.T) {
	r := newRig()
	r.cfg.ReportsVolts = false
	r.start()
	assert.InDelta(t, 81, r.bank(0), 1e-6)
}

func TestAFrozenMeterBlamesNobody(t *testing.T) {
	r := newRig()
	r.start()
	r.call()
	frozen := r.snap.Meter
	for i := range 6 {
		r.out.Banks &^= hal.Bank(i)
		for range 20 {
			r.snap.Time += 100 * time.Millisecond
			r.snap.Meter = frozen
			r.found.Empty()
			Observe(&r.cfg, &r.mem, &Input{Snapshot: &r.snap, Commanded: r.out, Phase: recipe.Clean, Recipe: &recipe.Recipe{}}, &r.est, &r.found)
			assert.Empty(t, r.found.All())
		}
	}
}

func TestNothingIsKnownWithoutReadings(t *testing.T) {
	r := newRig()
	r.cfg.MaxAge = -1
	r.start()
	assert.Equal(t, interlock.Estimates{Baseline: r.est.Baseline}, interlock.Estimates{Baseline: r.est.Baseline, Bank: r.est.Bank, Unloaded: r.est.Unloaded})
}

func BenchmarkObserve(b *testing.B) {
	r := newRig()
	r.start()
	in := Input{Snapshot: &r.snap, Commanded: r.out, Phase: recipe.Clean, Recipe: &recipe.Recipe{}}
	b.ReportAllocs()
	for b.Loop() {
		r.snap.Time += 100 * time.Millisecond
		r.found.Empty()
		Observe(&r.cfg, &r.mem, &in, &r.est, &r.found)
	}
}

func BenchmarkObservePreheat(b *testing.B) {
	r := newRig()
	r.snap.Probes[hal.BathA] = hal.Fresh(physic.ZeroCelsius + 20*physic.Celsius)
	r.snap.Meter.Watts, r.snap.Meter.Volts = hal.Fresh(1020*physic.Watt), hal.Fresh(230*physic.Volt)
	r.out.Heater = true
	in := Input{Snapshot: &r.snap, Commanded: r.out, Phase: recipe.Preheat, Recipe: &recipe.Recipe{Set: physic.ZeroCelsius + 60*physic.Celsius}}
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		r.snap.Time += 100 * time.Millisecond
		r.snap.Probes[hal.BathA].Age = time.Duration(i%8) * 100 * time.Millisecond
		r.found.Empty()
		Observe(&r.cfg, &r.mem, &in, &r.est, &r.found)
	}
}

// A wattmeter that shows a little over 400 W in health and under 300 W means that
// something has died (common practice, no source); by eye it does not say what.
func TestAWattmeterThatFallsFrom400To300IsGivenNames(t *testing.T) {
	r := newRig()
	for i := range 6 {
		r.takes[i], r.cfg.Draw[i] = 68, 68*physic.Watt
	}
	r.start()
	r.call()
	require.InDelta(t, 408+20, float64(r.snap.Meter.Watts.Value)/1e9, 5)
	require.Empty(t, r.said)
	r.takes[1], r.takes[3] = 0, 0
	r.run(3 * time.Second)
	require.Less(t, float64(r.snap.Meter.Watts.Value)/1e9, 300.0)
	r.call()
	assert.Equal(t, []string{
		"bank 2 is 68 W short of its 68 W baseline: the whole bank",
		"bank 4 is 68 W short of its 68 W baseline: the whole bank",
	}, r.said)
}
