package interlock

import (
	"errors"
	"fmt"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
)

// spec is what a row of the table must do, written down a second time from the
// design, apart from the table.
type spec struct {
	f     Function
	place int
	// setup brings a healthy cabinet to where the function applies.
	setup func(*bench)
	// good is just inside the limit, bad just outside; worse are extremes.
	good, bad func(*bench)
	worse     []func(*bench)
	// blind takes the reading away, stale lets it age one step too far; nil
	// where there is none to take.
	blind, stale func(*bench)
	coveredBy    Function // who answers for a missing reading; f for itself
	delay        time.Duration
	latch        Latch
	lost         Permits // what is gone when it acts: true where taken away
	says         string  // the sentence when it acts
	// noSecond marks a function whose cause is an instant, not a state.
	noSecond bool
}

func fan(speed hal.RotationalSpeed) func(*bench) {
	return func(b *bench) { b.snap.Fans[1] = hal.Fresh(speed) }
}

func hot(tenths physic.Temperature) func(*bench) { return func(b *bench) { b.bath(tenths) } }

// warm has the bath at a temperature, in tenths of a degree, from the start.
func warm(tenths physic.Temperature, setup func(*bench)) func(*bench) {
	return func(b *bench) { b.bath(tenths); setup(b) }
}

func draws(w physic.Power) func(*bench) { return func(b *bench) { b.watts(w) } }

func heat(h Heat) func(*bench) { return func(b *bench) { b.est.Heat = h } }

func mains(tenths physic.ElectricPotential) func(*bench) {
	return func(b *bench) { b.snap.Meter.Volts = hal.Fresh(tenths * physic.Volt / 10) }
}

func probe(i int, t physic.Temperature) func(*bench) {
	return func(b *bench) { b.snap.Probes[i] = hal.Fresh(t) }
}

func noProbes(b *bench) { b.snap.Probes = [3]hal.Reading[physic.Temperature]{} }

func staleProbes(b *bench) {
	for i := range b.snap.Probes {
		b.snap.Probes[i].Age = b.cfg.Probes.MaxAge + 1
	}
}

func noMeter(b *bench) { b.snap.Meter = hal.Meter{} }

func staleMeter(b *bench) {
	b.snap.Meter.Watts.Age, b.snap.Meter.Volts.Age = b.cfg.Power.MaxAge+1, b.cfg.Power.MaxAge+1
}

func contact(set func(*hal.Contacts, hal.Contact), c hal.Contact) func(*bench) {
	return func(b *bench) { set(&b.snap.Contacts, c) }
}

func level(c *hal.Contacts, to hal.Contact)   { c.LevelOK = to }
func lid(c *hal.Contacts, to hal.Contact)     { c.LidClosed = to }
func stopper(c *hal.Contacts, to hal.Contact) { c.StopClosed = to }
func leakage(c *hal.Contacts, to hal.Contact) { c.LeakDry = to }
func aux(c *hal.Contacts, to hal.Contact)     { c.ContactorAux = to }

func nothing(*bench) {}

const sec = time.Second

var (
	all           = Permits{Contactor: true, Heater: true, Emission: true, Start: true, Banks: 0xffff}
	lostEmission  = Permits{Emission: true, Start: true}
	lostHeater    = Permits{Heater: true, Start: true}
	lostBoth      = Permits{Emission: true, Heater: true, Start: true}
	lostContactor = Permits{Contactor: true, Emission: true, Heater: true, Start: true}
	lostStart     = Permits{Start: true}
)

const extreme = 1 << 62

// specs are what each function must do, written down a second time, apart from
// the table. The mains limits are those of IEC 60038: 230 V +-10 %, from memory.
var specs = []spec{
	{f: StopPressed, setup: emitting, good: nothing, bad: contact(stopper, hal.Open),
		worse: []func(*bench){contact(stopper, hal.Absent)},
		latch: Trip, lost: lostContactor, says: "the stop loop is open or broken: contactor opened"},
	{f: LoopLate, setup: emitting, good: func(b *bench) { b.step(2 * tick) }, bad: func(b *bench) { b.step(2*tick + 1) },
		worse: []func(*bench){func(b *bench) { b.step(time.Hour) }, func(b *bench) { b.step(0) }, func(b *bench) { b.step(-extreme) }, func(b *bench) { b.step(extreme) }},
		latch: Trip, lost: lostContactor, noSecond: true,
		says: "the loop was late: 0.2 s from one tick to the next, over its 0.2 s deadline: contactor opened"},
	{f: Leak, setup: emitting, good: nothing, bad: contact(leakage, hal.Open), worse: []func(*bench){contact(leakage, hal.Absent)},
		delay: 1 * sec, latch: Trip, lost: lostContactor, says: "the leak sensor has been wet or broken for 1.0 s: contactor opened"},
	{f: KeptUnreadable, setup: rest, good: nothing, bad: func(b *bench) { b.snap.KeptOK = false },
		latch: Lockout, lost: lostContactor,
		says: "what was kept from the run before cannot be read, so nobody knows whether it was locked out: contactor opened and locked out"},
	{f: BathHighLimit, setup: warm(690, emitting), good: hot(700), bad: probe(hal.BathB, celsius+70*degree+1), worse: []func(*bench){hot(1100)},
		blind: noProbes, stale: staleProbes, coveredBy: ProbeFault,
		delay: sec / 2, latch: Lockout, lost: lostContactor,
		says: "the bath at 70 °C is over the machine's 70 °C limit for 0.5 s: contactor opened and locked out"},
	{f: ContactorDisagrees, setup: emitting, good: nothing, bad: contact(aux, hal.Open), blind: contact(aux, hal.Absent), coveredBy: ContactorDisagrees,
		delay: 1 * sec, latch: Lockout, lost: lostContactor,
		says: "the main contactor has not closed 1.0 s after its command: contactor opened and locked out"},
	{f: ContactorDisagrees, setup: rest, good: nothing, bad: contact(aux, hal.Closed), blind: contact(aux, hal.Absent), coveredBy: ContactorDisagrees,
		delay: 1 * sec, latch: Lockout, lost: lostContactor,
		says: "the main contactor is still closed 1.0 s after it was told to open: contactor opened and locked out"},
	{f: HeaterWillNotStop, setup: closedUp, good: draws(18 + 500), bad: draws(18 + 501), worse: []func(*bench){draws(3600)},
		blind: noMeter, stale: staleMeter, coveredBy: MeterFault,
		delay: 3 * sec, latch: Lockout, lost: lostContactor,
		says: "501 W that nothing commanded explains, with the heater commanded off, for 3.0 s; over 500 W it can only be the heater: contactor opened and locked out"},
	{f: HeaterWillNotStop, setup: emitting, good: draws(18 + 486), bad: draws(18 + 486 + 501), coveredBy: MeterFault,
		delay: 3 * sec, latch: Lockout, lost: lostContactor,
		says: "501 W that nothing commanded explains, with the heater commanded off, for 3.0 s; over 500 W it can only be the heater: contactor opened and locked out"},
	{f: BankWillNotStop, setup: closedUp, good: draws(18 + 27), bad: draws(18 + 28), worse: []func(*bench){draws(18 + 486)},
		blind: noMeter, stale: staleMeter, coveredBy: MeterFault,
		delay: 3 * sec, latch: Lockout, lost: lostContactor,
		says: "28 W that nothing commanded explains, with all banks commanded off, for 3.0 s; over 27 W a bank is still on: contactor opened and locked out"},
	{f: AirflowLost, place: 1, setup: emitting, good: fan(1500 * hal.RPM), bad: fan(1500*hal.RPM - 1), worse: []func(*bench){fan(0), fan(-extreme)},
		blind: func(b *bench) { b.snap.Fans[1] = hal.Reading[hal.RotationalSpeed]{} }, stale: func(b *bench) { b.snap.Fans[1].Age = b.cfg.Fans.MaxAge + 1 }, coveredBy: AirflowLost,
		delay: 1 * sec, latch: Trip, lost: lostEmission, says: "fan 2 at 1500 rpm, below its 1500 rpm minimum for 1.0 s: emission stopped"},
	{f: AirflowNotProven, place: 1, setup: func(b *bench) {
		rest(b)
		b.snap.Fans[0] = hal.Fresh(2600 * hal.RPM)
		b.watts(18)
		b.commanded.Fans = true
	},
		good: fan(1500 * hal.RPM), bad: fan(1500*hal.RPM - 1), worse: []func(*bench){fan(0)},
		blind: func(b *bench) { b.snap.Fans[1] = hal.Reading[hal.RotationalSpeed]{} }, stale: func(b *bench) { fan(2600 * hal.RPM)(b); b.snap.Fans[1].Age = b.cfg.Fans.MaxAge + 1 }, coveredBy: AirflowNotProven,
		delay: 8 * sec, latch: Trip, lost: lostEmission, says: "fan 2 at 1500 rpm has not reached its 1500 rpm minimum in 8.0 s: emission stopped"},
	{f: AirflowStuck, place: 1, setup: rest, good: fan(150 * hal.RPM), bad: fan(150*hal.RPM + 1), worse: []func(*bench){fan(extreme)},
		blind: func(b *bench) { b.snap.Fans[1] = hal.Reading[hal.RotationalSpeed]{} }, stale: func(b *bench) { b.snap.Fans[1].Age = b.cfg.Fans.MaxAge + 1 }, coveredBy: AirflowStuck,
		delay: 20 * sec, latch: Trip, lost: lostStart,
		says: "fan 2 still reports 150 rpm with the fans off for 20.0 s, over the 150 rpm of a standing fan: start withheld"},
	{f: LevelLow, setup: emitting, good: nothing, bad: contact(level, hal.Open), worse: []func(*bench){contact(level, hal.Absent)},
		delay: 2 * sec, latch: Trip, lost: lostBoth,
		says: "the float switch has been down or broken for 2.0 s: the liquid is under its minimum: heater and emission stopped"},
	{f: BathTooSmall, setup: emitting,
		good: func(b *bench) { b.est.Volume, b.est.VolumeBand = hal.Fresh(11600*hal.MilliLitre), 1000*hal.MilliLitre },
		bad: func(b *bench) {
			b.est.Volume, b.est.VolumeBand = hal.Fresh(11600*hal.MilliLitre), 1000*hal.MilliLitre-1
		},
		worse: []func(*bench){func(b *bench) { b.est.Volume = hal.Fresh(hal.Volume(0)) }},
		latch: Trip, lost: lostBoth, says: "the bath warms like at most 12.6 l of liquid, less than its 12.6 l minimum: heater and emission stopped"},
	{f: BathTooSmall, setup: heating, good: heat(HeatArrives), bad: heat(HeaterBare), worse: []func(*bench){heat(HeatMissing)},
		latch: Trip, lost: lostBoth, says: "the heater's heat takes far too long to reach the bath: little or no liquid covers the heater: heater and emission stopped"},
	{f: BathTooSmall, setup: heating, good: heat(HeatUnknown), bad: heat(HeatMissing),
		latch: Trip, lost: lostBoth, says: "the heater's heat does not show at the bath probes: they hang out of the liquid, the heater has come off, or cold liquid runs in: heater and emission stopped"},
	{f: BathTooSmall, setup: emitting, good: nothing, bad: func(b *bench) { b.est.Unloaded = hal.Fresh(int64(451)) },
		latch: Trip, lost: lostBoth, says: "all banks together take 45.1 % of what they should: no liquid loads the emitters: heater and emission stopped"},
	{f: BankShort, place: 2, setup: emitting, good: func(b *bench) { b.est.Baseline[2] = 50 * physic.Watt; b.est.Bank[2] = hal.Fresh(35 * physic.Watt) },
		bad:   func(b *bench) { b.est.Baseline[2] = 50 * physic.Watt; b.est.Bank[2] = hal.Fresh(35*physic.Watt - 1) },
		delay: 5 * sec, latch: Trip, lost: Permits{Banks: hal.Bank(2)}, says: "bank 3 takes 35 W, under the 35 W that its baseline asks for, for 5.0 s: bank 3 taken out"},
	{f: ProbeFault, place: hal.BathB, setup: emitting, good: nothing, bad: probe(hal.BathB, celsius+85*degree),
		worse: []func(*bench){probe(hal.BathB, celsius-10*degree-1), probe(hal.BathB, 0), probe(hal.BathB, extreme)},
		blind: func(b *bench) { b.snap.Probes[hal.BathB] = hal.Reading[physic.Temperature]{} },
		stale: func(b *bench) { b.snap.Probes[hal.BathB].Age = b.cfg.Probes.MaxAge + 1 }, coveredBy: ProbeFault,
		delay: 2 * sec, latch: Trip, lost: lostBoth, says: "bath probe B shows its power-on value of 85 °C for 2.0 s: heater and emission stopped"},
	{f: ProbeFault, place: hal.Cabinet, setup: func(b *bench) { probe(hal.Cabinet, celsius-9*degree)(b); emitting(b) }, good: probe(hal.Cabinet, celsius-10*degree), bad: probe(hal.Cabinet, celsius-10*degree-degree/100),
		delay: 2 * sec, latch: Trip, lost: lostBoth, says: "the cabinet probe reads -10 °C, under the -10 °C that it can read, for 2.0 s: heater and emission stopped"},
	{f: ProbesDisagree, setup: emitting, good: probe(hal.BathA, celsius+43*degree), bad: probe(hal.BathA, celsius+43*degree+1), worse: []func(*bench){probe(hal.BathA, celsius+37*degree-1)},
		blind: noProbes, stale: staleProbes, coveredBy: ProbeFault,
		delay: 10 * sec, latch: Trip, lost: lostBoth, says: "the bath probes are 3 K apart, over 3 K, for 10.0 s: heater and emission stopped"},
	{f: MeterFault, setup: closedUp, good: draws(0), bad: draws(-1), worse: []func(*bench){draws(3681), func(b *bench) { b.snap.Meter.Watts.Value = -extreme }, func(b *bench) { b.snap.Meter.Watts.Value = extreme }},
		blind: noMeter, stale: staleMeter, coveredBy: MeterFault,
		delay: 3 * sec, latch: Trip, lost: lostBoth, says: "the meter shows -1 W, under 0 W, for 3.0 s: heater and emission stopped"},
	{f: OverPower, setup: emitting, good: draws(18 + 486 + 40 + 48), bad: draws(18 + 486 + 40 + 49), blind: noMeter, stale: staleMeter, coveredBy: MeterFault,
		delay: 2 * sec, latch: Trip, lost: lostBoth, says: "593 W at the meter, over the 593 W that everything commanded explains, for 2.0 s: heater and emission stopped"},
	{f: OverPower, setup: heating, good: draws(18 + 1000 + 40 + 100), bad: draws(18 + 1000 + 40 + 101), worse: []func(*bench){draws(3600)}, coveredBy: MeterFault,
		delay: 2 * sec, latch: Trip, lost: lostBoth, says: "1159 W at the meter, over the 1158 W that everything commanded explains, for 2.0 s: heater and emission stopped"},
	{f: MainsOutOfRange, setup: closedUp, good: mains(2070), bad: mains(2069), worse: []func(*bench){mains(0), mains(-10)}, blind: noMeter, stale: staleMeter, coveredBy: MeterFault,
		delay: 2 * sec, latch: Hold, lost: lostBoth, says: "the mains at 206.9 V is under its 207 V limit for 2.0 s: heater and emission held"},
	{f: MainsOutOfRange, setup: closedUp, good: mains(2529), bad: mains(2531), worse: []func(*bench){mains(4000)}, coveredBy: MeterFault,
		delay: 2 * sec, latch: Hold, lost: lostBoth, says: "the mains at 253.1 V is over its 253 V limit for 2.0 s: heater and emission held"},
	{f: HeaterSilent, setup: heating, good: draws(18 + 250), bad: draws(18 + 249), worse: []func(*bench){draws(0)}, blind: noMeter, stale: staleMeter, coveredBy: MeterFault,
		delay: 5 * sec, latch: Trip, lost: lostHeater, says: "the heater is on and 249 W of its watts arrive, under 250 W, for 5.0 s: heater stopped"},
	{f: BankShort, place: 2, setup: emitting,
		good:  func(b *bench) { b.est.Bank[2] = hal.Fresh(56700 * physic.MilliWatt) },
		bad:   func(b *bench) { b.est.Bank[2] = hal.Fresh(56700*physic.MilliWatt - 1) },
		worse: []func(*bench){func(b *bench) { b.est.Bank[2] = hal.Fresh(physic.Power(0)) }, func(b *bench) { b.est.Bank[2] = hal.Fresh(physic.Power(-extreme)) }},
		delay: 5 * sec, latch: Trip, lost: Permits{Banks: hal.Bank(2)}, says: "bank 3 takes 57 W, under the 57 W that its baseline asks for, for 5.0 s: bank 3 taken out"},
	{f: CabinetHot, setup: func(b *bench) { probe(hal.Cabinet, celsius+54*degree)(b); emitting(b) }, good: probe(hal.Cabinet, celsius+55*degree), bad: probe(hal.Cabinet, celsius+55*degree+1),
		blind: noProbes, stale: staleProbes, coveredBy: ProbeFault,
		delay: 2 * sec, latch: Trip, lost: lostEmission, says: "the cabinet's air at 55 °C is over its 55 °C limit for 2.0 s: emission stopped"},
	{f: BathAboveRecipe, setup: warm(490, cooking), good: hot(500), bad: probe(hal.BathA, celsius+50*degree+1), blind: noProbes, stale: staleProbes, coveredBy: ProbeFault,
		latch: Hold, lost: lostHeater, says: "the bath at 50 °C is over the recipe's 50 °C limit: heater held"},
	{f: BathFarAboveRecipe, setup: warm(510, cooking), good: hot(520), bad: probe(hal.BathA, celsius+52*degree+1), blind: noProbes, stale: staleProbes, coveredBy: ProbeFault,
		latch: Hold, lost: lostBoth, says: "the bath at 52 °C is over 52 °C, far over the recipe's limit: emission held"},
	{f: LidOpen, setup: emitting, good: nothing, bad: contact(lid, hal.Open), worse: []func(*bench){contact(lid, hal.Absent)},
		delay: sec / 2, latch: Hold, lost: lostEmission, says: "the lid has been open for 0.5 s: emission held"},
	{f: SessionTooLong, setup: emitting, good: func(b *bench) { b.mem.EmissionFor = 44*time.Minute - 10*sec }, bad: func(b *bench) { b.mem.EmissionFor = 45*time.Minute - tick },
		worse: []func(*bench){func(b *bench) { b.mem.EmissionFor = extreme }},
		latch: Trip, lost: lostEmission, says: "emission has gone on for 45 min, the machine's limit is 45 min: emission stopped"},
	{f: RecordUnwritable, setup: closedUp, good: nothing, bad: func(b *bench) { b.snap.RecordOK = false },
		latch: Hold, lost: lostStart, says: "the journal has not been made durable: start withheld"},
}

// without returns the permits that a healthy cabinet has, less what is lost.
func without(have, lost Permits) Permits {
	return Permits{
		Contactor: have.Contactor && !lost.Contactor, Heater: have.Heater && !lost.Heater,
		Emission: have.Emission && !lost.Emission, Start: have.Start && !lost.Start,
		Banks: have.Banks &^ lost.Banks,
	}
}

func (s *spec) String() string { return fmt.Sprintf("%v, place %d", s.f, s.place) }

// check runs one row through everything that is asked of it, and returns what
// it does otherwise.
func (s *spec) check(table *[FunctionCount]Row) error {
	return errors.Join(
		s.checkThreshold(table), s.checkActs(table), s.checkExtremes(table), s.checkReturn(table),
		s.checkFlicker(table), s.checkBlind(table), s.checkRestart(table),
	)
}

func (s *spec) ready(table *[FunctionCount]Row) (*bench, Permits) {
	b := newBench(table)
	s.setup(b)
	return b, b.permits
}

func (s *spec) acted(b *bench) bool {
	slot := SlotOf(s.f, s.place)
	return b.mem.Latched.Has(slot) || b.mem.Held.Has(slot)
}

func (s *spec) checkThreshold(table *[FunctionCount]Row) error {
	b, _ := s.ready(table)
	s.good(b)
	b.run(30 * sec)
	if s.acted(b) {
		return fmt.Errorf("%v acted inside its limit", s)
	}
	return nil
}

// checkActs holds the cause for the delay less a tick, then for one more.
func (s *spec) checkActs(table *[FunctionCount]Row) error {
	b, before := s.ready(table)
	s.bad(b)
	if !s.noSecond {
		b.run(s.delay - tick)
		if s.delay > 0 && s.acted(b) {
			return fmt.Errorf("%v acted before its %v delay", s, s.delay)
		}
		b.run(tick)
	}
	if !s.acted(b) {
		return fmt.Errorf("%v did not act after %v", s, s.delay)
	}
	want := without(before, s.lost)
	if s.f == AirflowNotProven {
		want.Emission = false
	}
	got := b.permits
	got.Tripped = 0
	var errs []error
	if diff := cmp.Diff(want, got); diff != "" {
		errs = append(errs, fmt.Errorf("%v: permits differ:\n%s", s, diff))
	}
	happened := append(b.did(s.f, Tripped), b.did(s.f, Holding)...)
	if len(happened) != 1 || happened[0].Sentence() != s.says {
		got := "nothing"
		if len(happened) > 0 {
			got = happened[0].Sentence()
		}
		errs = append(errs, fmt.Errorf("%v says %q\n              want %q", s, got, s.says))
	}
	if s.latch != Hold && (b.mem.First.Slot != uint8(SlotOf(s.f, s.place))+1 || !happened[0].FirstOut) {
		errs = append(errs, fmt.Errorf("%v is not the first-out: %v", s, b.mem.First.Sentence()))
	}
	return errors.Join(errs...)
}

func (s *spec) checkExtremes(table *[FunctionCount]Row) error {
	for i, worse := range s.worse {
		b, _ := s.ready(table)
		worse(b)
		if !s.noSecond {
			b.run(s.delay + tick)
		}
		if !s.acted(b) {
			return fmt.Errorf("%v did not act at extreme %d", s, i)
		}
	}
	return nil
}

// checkReturn takes the cause away, and resets where that is needed: a reset
// that is refused while the cause stands, and one that counts.
func (s *spec) checkReturn(table *[FunctionCount]Row) error {
	b, before := s.ready(table)
	healthy, commanded, est := b.snap, b.commanded, b.est
	s.bad(b)
	b.run(s.delay + tick)
	if s.latch != Hold && !s.noSecond {
		b.reset = true
		b.step(tick)
		if len(b.did(s.f, ResetRefused)) != 1 || !s.acted(b) {
			return fmt.Errorf("%v was reset while its cause stood", s)
		}
	}
	healthy.Time = b.snap.Time
	b.snap, b.commanded, b.est = healthy, commanded, est
	switch s.f {
	case SessionTooLong: // it needs a minute's rest
		b.commanded.Banks = 0
		b.watts(18)
		b.run(61 * sec)
		b.commanded.Banks = commanded.Banks
		b.watts(18 + 486)
		b.run(3 * sec)
	case AirflowNotProven:
		b.spin(2600)
		b.run(sec)
	default:
		b.run(5*s.delay + 5*sec)
	}
	if s.latch != Hold {
		if !s.acted(b) {
			return fmt.Errorf("%v came back without a reset", s)
		}
		b.reset = true
		b.step(tick)
		b.step(tick)
	}
	if s.acted(b) {
		return fmt.Errorf("%v did not come back", s)
	}
	if s.f == AirflowNotProven {
		before.Emission = true
	}
	if diff := cmp.Diff(before, b.permits); diff != "" {
		return fmt.Errorf("%v: permits after return differ:\n%s", s, diff)
	}
	if b.mem.First != (FirstOut{}) {
		return fmt.Errorf("%v: a first-out is left over: %v", s, b.mem.First)
	}
	return nil
}

// checkFlicker has the cause there for half of the time: it must not escape.
func (s *spec) checkFlicker(table *[FunctionCount]Row) error {
	if s.delay == 0 || s.f == AirflowNotProven {
		return nil // nothing to escape, or proven by one good moment
	}
	b, _ := s.ready(table)
	healthy, est := b.snap, b.est
	for range int(6 * s.delay / tick) {
		now := b.snap.Time
		b.snap, b.est = healthy, est
		b.snap.Time = now
		b.step(tick)
		s.bad(b)
		b.step(tick)
		if s.acted(b) {
			return nil
		}
	}
	return fmt.Errorf("%v escapes by flickering", s)
}

func (s *spec) checkBlind(table *[FunctionCount]Row) error {
	for i, spoil := range []func(*bench){s.blind, s.stale} {
		if spoil == nil {
			continue
		}
		b, _ := s.ready(table)
		spoil(b)
		b.step(tick)
		if s.lost.Emission && b.permits.Emission || s.lost.Heater && b.permits.Heater || b.permits.Start {
			return fmt.Errorf("%v: a permit is given without a reading (%d)", s, i)
		}
		b.run(table[s.coveredBy].Delay)
		acted := len(b.did(s.coveredBy, Tripped)) > 0
		if !acted {
			return fmt.Errorf("%v: %v did not answer for a missing reading (%d)", s, s.coveredBy, i)
		}
		if s.coveredBy != s.f && len(b.did(s.f, Tripped))+len(b.did(s.f, Holding)) > 0 {
			return fmt.Errorf("%v acted without a reading (%d)", s, i)
		}
	}
	return nil
}

// checkRestart restarts the program after the function has acted.
func (s *spec) checkRestart(table *[FunctionCount]Row) error {
	b, _ := s.ready(table)
	s.bad(b)
	b.run(s.delay + tick)
	mem := Memory{Latched: b.mem.lockouts(table)}
	if table == &Table {
		mem = Restarted(b.mem.Lockouts(), 0)
	}
	slot := SlotOf(s.f, s.place)
	if kept := mem.Latched.Has(slot); kept != (s.latch == Lockout) {
		return fmt.Errorf("%v: latched after a restart: %v", s, kept)
	}
	if s.latch == Lockout && table == &Table && mem.First.Slot != uint8(slot)+1 {
		return fmt.Errorf("%v: not the first-out after a restart", s)
	}
	fresh := newBench(table)
	fresh.mem = mem
	fresh.run(5 * sec)
	if want := s.latch != Lockout; fresh.permits.Start != want || fresh.permits.Contactor != want {
		return fmt.Errorf("%v: after a restart in health start is %v, contactor %v", s, fresh.permits.Start, fresh.permits.Contactor)
	}
	if fresh.permits.Emission {
		return fmt.Errorf("%v: emission is permitted after a restart, before air is proven", s)
	}
	return nil
}

func TestRows(t *testing.T) {
	seen := map[Function]bool{}
	for i := range specs {
		s := &specs[i]
		seen[s.f] = true
		t.Run(s.String(), func(t *testing.T) { assert.NoError(t, s.check(&Table)) })
	}
	for f := range FunctionCount {
		assert.True(t, seen[f], "no test of %v", f)
	}
}

func failures(table *[FunctionCount]Row, f Function) int {
	n := 0
	for i := range specs {
		if specs[i].f == f && specs[i].check(table) != nil {
			n++
		}
	}
	return n
}

// TestEveryRowMatters deletes each row and changes each part of it, and sees
// that the checks above find it.
func TestEveryRowMatters(t *testing.T) {
	for f := range FunctionCount {
		mutants := map[string]func(*Row){
			"deleted":     func(r *Row) { r.Judge = func(view, int) Finding { return idle } },
			"never there": func(r *Row) { r.Judge = func(view, int) Finding { return clear(0, 0, 0) } },
		}
		for bit := TakesStart; bit <= TakesBank; bit <<= 1 {
			mutants["effect changed in "+bit.String()] = func(r *Row) { r.Takes ^= bit }
		}
		for _, latch := range []Latch{Hold, Trip, Lockout} {
			if latch != Table[f].Latch {
				mutants["latch now "+latch.String()] = func(r *Row) { r.Latch = latch }
			}
		}
		for name, change := range mutants {
			if equivalent(f, name) {
				continue
			}
			table := Table
			change(&table[f])
			assert.Positive(t, failures(&table, f), "%v %s: no test fails", f, name)
		}
	}
}

// equivalent lists the changes that change nothing.
func equivalent(f Function, change string) bool {
	takes := Table[f].Takes
	switch change {
	case "effect changed in start":
		// Whatever takes more than a bank withholds the start anyway.
		return takes != TakesStart
	case "effect changed in heater", "effect changed in emission":
		// Neither goes without the contactor. While a tach is stuck there is no
		// proven air, so no emission to take away; far above the recipe's limit
		// the heater has been taken away already.
		return takes.Has(TakesContactor) ||
			f == AirflowStuck && change == "effect changed in emission" ||
			f == BathFarAboveRecipe && change == "effect changed in heater"
	default:
		return false
	}
}

func TestTheTableIsComplete(t *testing.T) {
	for f := range FunctionCount {
		row := Table[f]
		require.NotNil(t, row.Judge, "%d", f)
		assert.NotEmpty(t, row.Name)
		assert.NotEmpty(t, row.Cause)
		assert.NotEmpty(t, row.Applies)
		assert.NotEmpty(t, row.Says)
		assert.NotZero(t, row.Takes)
		if by, ok := row.CoveredBy.Function(); ok {
			assert.Equal(t, None, Table[by].CoveredBy, "%v is covered by %v, which is covered itself", f, by)
		}
	}
	slots := 0
	for f := range FunctionCount {
		for place := range Table[f].Scope.most() {
			assert.Equal(t, slots, SlotOf(f, place))
			gotF, gotPlace := Find(slots)
			assert.Equal(t, f, gotF)
			assert.Equal(t, place, gotPlace)
			slots++
		}
	}
	assert.Equal(t, Slots, slots)
}
