package health

import (
	"math/bits"
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
	"bathtender/interlock"
)

// banks credits each bank with its watts, from one meter: with its step when it
// starts, and with its step when the roll-call drops it for a moment. In between
// it watches the sum, and asks for a roll-call at once when watts go missing.
type banks struct {
	load    interlock.Load // what the meter is asked to show
	since   time.Duration  // how long that has been commanded
	before  float64        // W last seen with the load before, corrected to nominal
	settled float64        // W last seen with this load
	shown   bool           // settled is of this load
	stepped int8           // the bank that made this load, plus 1; minus where it left
	heater  int8           // 1 where the heater alone made this load by coming on

	volts physic.ElectricPotential // last seen, and how long it has not changed
	still time.Duration

	credit   [hal.MaxBanks]float64 // W
	credited hal.Banks
	// sum and count are of the session's credits, for the drift from session
	// to session.
	sum   [hal.MaxBanks]float64
	count [hal.MaxBanks]int32
	// emission is how long any bank has been on.
	emission time.Duration

	// alarm is set while watts are missing that no credit explains yet; asked
	// are the banks that the roll-call has asked since, low those found low.
	alarm   bool
	share   float64 // of their watts that the banks that are on take now
	expect  float64 // W of those banks, by their credits before the alarm
	asked   hal.Banks
	low     hal.Banks
	was     [hal.MaxBanks]float64 // credits before the alarm
	missing time.Duration         // how long watts have been missing
	halved  time.Duration         // how long about half of them have been
	told    hal.Banks             // banks that have been told of
	stuck   hal.Banks             // banks whose relay does not open
	unload  bool
	// toldHeater says that the heater's missing part has been told of.
	toldHeater bool
	// accepted are the watts that no bank explains and that have been told of.
	accepted float64
}

const (
	// alarmShare is the part of all banks' watts, and alarmEmitter the part of
	// one emitter's, that must be missing before a roll-call is asked for.
	alarmShare   = 0.03
	alarmEmitter = 0.4
	// alarmFor is how long they must be missing: a reading of the meter may
	// stand between two loads.
	alarmFor = time.Second
	// confirmShare of its baseline, and confirmLeast in W, is how far a credit
	// may be from the one before without being asked again.
	confirmShare, confirmLeast = 0.12, 4
	// unloadedMost is the share of their watts that emitters in air take at
	// most; unloadedLeast at least (common practice, no source: an unloaded
	// emitter is off its resonance, and takes about half).
	unloadedMost, unloadedLeast = 0.75, 0.15
	// halvedMost is the share at which it must be all of several banks, since
	// half of them do not die at once.
	halvedMost, halvedBanks = 0.55, 4
)

func (b *banks) observe(cfg *Config, in *Input, elapsed time.Duration, est *interlock.Estimates, events *Events) {
	load := interlock.Load{
		Contactor: in.Commanded.Contactor, Fans: in.Commanded.Fans,
		Heater: in.Commanded.Heater, Banks: in.Commanded.Banks,
	}
	if load.Banks != 0 {
		b.emission += elapsed
	}
	if load == b.load {
		b.since += elapsed
	} else {
		b.change(load)
	}
	w, ok := watts(cfg, &in.Snapshot.Meter)
	if volts := in.Snapshot.Meter.Volts; volts.Value != b.volts {
		b.volts, b.still = volts.Value, 0
	} else {
		b.still += elapsed
	}
	if cfg.ReportsVolts && !b.shown && b.still >= b.since {
		return // a mains voltage is never quite still: nothing has been measured since
	}
	if !ok || b.since < cfg.Settle+in.Snapshot.Meter.Watts.Age {
		return
	}
	if !b.shown {
		b.step(cfg, in, w, events)
	}
	b.settled, b.shown = w, true
	b.watch(cfg, in, elapsed, events)
	b.tell(cfg, est)
}

// change begins a new load. A step can only be credited where one thing
// changed, from a load whose watts were seen.
func (b *banks) change(load interlock.Load) {
	added, gone := load.Banks&^b.load.Banks, b.load.Banks&^load.Banks
	others := load
	others.Banks = b.load.Banks
	b.stepped, b.heater = 0, 0
	switch {
	case !b.shown:
	case others == b.load && added.Count() == 1 && gone == 0:
		b.stepped = int8(bits.TrailingZeros16(uint16(added))) + 1
	case others == b.load && gone.Count() == 1 && added == 0:
		b.stepped = -int8(bits.TrailingZeros16(uint16(gone))) - 1
	case added|gone == 0 && load.Heater && !b.load.Heater && load.Contactor == b.load.Contactor && load.Fans == b.load.Fans:
		b.heater = 1
	}
	b.before, b.shown = b.settled, false
	b.load, b.since = load, 0
}

// step credits what the step to this load shows.
func (b *banks) step(cfg *Config, in *Input, w float64, events *Events) {
	at := in.Snapshot.Time
	switch {
	case b.heater > 0:
		due := watt(cfg.Heater)
		if got := w - b.before; got < 0.85*due && got > 0.1*due && !b.toldHeater {
			b.toldHeater = true
			events.Add(Event{At: at, Kind: HeaterShort, Value: nano(got), Base: nano(due)})
		}
	case b.stepped > 0:
		b.take(cfg, at, int(b.stepped)-1, w-b.before, events)
	case b.stepped < 0:
		bank := -int(b.stepped) - 1
		got := b.before - w
		// A relay that does not open shows no step, but nothing was missing.
		missing := float64((1 - b.share) * b.expect)
		if base := cfg.baseline(bank); got < 0.2*base && b.owed(bank) > 0.7*base && missing < 0.4*base {
			if !b.stuck.Has(bank) {
				b.stuck |= hal.Bank(bank)
				events.Add(Event{At: at, Kind: RelayStuck, Place: uint8(bank), Value: nano(got), Base: nano(b.owed(bank))})
			}
			return
		}
		b.take(cfg, at, bank, got, events)
	}
}

// owed returns the watts that a bank should take by its last good credit.
func (b *banks) owed(bank int) float64 {
	if b.alarm {
		return b.was[bank]
	}
	return b.credit[bank]
}

// take credits a bank with watts.
func (b *banks) take(cfg *Config, at time.Duration, bank int, got float64, events *Events) {
	if b.unload {
		return // it is not the banks
	}
	if b.stuck.Has(bank) {
		return // it has not been off, so there is no step to credit
	}
	got = max(got, 0)
	if off := got - b.credit[bank]; !b.alarm && b.credited.Has(bank) && max(off, -off) > max(confirmShare*cfg.baseline(bank), confirmLeast) {
		// It may be another bank's loss that fell into this one's turn.
		b.raise()
		return
	}
	if b.alarm && !b.asked.Has(bank) {
		b.asked |= hal.Bank(bank)
		if got < unloadedMost*b.was[bank] && got > unloadedLeast*b.was[bank] {
			b.low |= hal.Bank(bank)
		}
	}
	b.credit[bank] = got
	b.credited |= hal.Bank(bank)
	b.sum[bank] += got
	b.count[bank]++
	if b.alarm {
		b.answer(cfg, at, events)
	} else {
		b.compare(cfg, at, bank, events)
	}
}

// watch compares the sum with the credits.
func (b *banks) watch(cfg *Config, in *Input, elapsed time.Duration, events *Events) {
	on := in.Commanded.Banks
	if on == 0 || on&^b.credited != 0 || b.unload {
		b.missing, b.halved = 0, 0
		return
	}
	credits := &b.credit
	if b.alarm {
		credits = &b.was
	}
	sum := 0.0
	for i := range cfg.Banks {
		if on.Has(i) {
			sum += credits[i]
		}
	}
	others := watt(cfg.Standby) + watt(cfg.FanDraw)
	if in.Commanded.Heater {
		others += watt(cfg.Heater)
	}
	short := sum + others - b.settled - b.accepted
	b.share, b.expect = 1-short/max(sum, 1), sum
	if b.share < halvedMost && b.share > unloadedLeast && on.Count() >= halvedBanks {
		if b.halved += elapsed; b.halved >= alarmFor {
			b.unloaded(in.Snapshot.Time, events)
			return
		}
	} else {
		b.halved = 0
	}
	if b.alarm {
		return
	}
	if short < max(alarmShare*sum, alarmEmitter*cfg.smallestEmitter()) {
		b.missing = 0
		return
	}
	if b.missing += elapsed; b.missing >= alarmFor {
		b.raise()
	}
}

// raise asks for a roll-call of all banks, one right after another.
func (b *banks) raise() {
	b.alarm, b.asked, b.low, b.was, b.missing = true, 0, 0, b.credit, 0
}

// unloaded says that no liquid loads the emitters.
func (b *banks) unloaded(at time.Duration, events *Events) {
	b.unload, b.alarm = true, false
	events.Add(Event{At: at, Kind: AllUnloaded, Value: nano(b.share * b.expect), Base: nano(b.expect)})
}

// answer closes an alarm once the roll-call has said enough: two banks that are
// both low while the sum is too, or all of them.
func (b *banks) answer(cfg *Config, at time.Duration, events *Events) {
	if b.low.Count() >= 2 && b.low == b.asked && b.share < unloadedMost && b.share > unloadedLeast {
		b.unloaded(at, events)
		return
	}
	if (b.load.Banks&^b.stuck)&^b.asked != 0 {
		return
	}
	explained, due := 0.0, 0.0
	for i := range cfg.Banks {
		if b.asked.Has(i) {
			explained += max(b.was[i]-b.credit[i], 0)
			due += b.was[i]
		}
	}
	b.alarm = false
	if missing := float64((1 - b.share) * b.expect); explained < missing/2 {
		b.accepted += missing
		events.Add(Event{At: at, Kind: Unexplained, Value: nano(missing), Base: nano(due)})
	}
	for i := range cfg.Banks {
		if b.asked.Has(i) {
			b.compare(cfg, at, i, events)
		}
	}
}

// compare holds a bank's credit against its baseline and tells once what is
// missing, as a name and a number.
func (b *banks) compare(cfg *Config, at time.Duration, bank int, events *Events) {
	base, got := cfg.baseline(bank), b.credit[bank]
	emitter := base / float64(max(cfg.Emitters[bank], 1))
	event := Event{At: at, Place: uint8(bank), Value: nano(got), Base: nano(base)}
	switch short := base - got; {
	case short > 0.8*base:
		event.Kind = BankGone
	case short > 0.6*emitter:
		event.Kind = EmittersShort
		event.Count = uint8(min(short/emitter+0.5, 255))
	case short < -max(0.15*base, 5):
		event.Kind = MoreThanDue
	default:
		b.told &^= hal.Bank(bank)
		return
	}
	if !b.told.Has(bank) {
		b.told |= hal.Bank(bank)
		events.Add(event)
	}
}

// tell turns what is known into estimates. While an alarm is on nothing is said
// of single banks: it may be all of them.
func (b *banks) tell(cfg *Config, est *interlock.Estimates) {
	est.RollCall = b.alarm
	for i := range cfg.Banks {
		est.Baseline[i] = physic.Power(nano(cfg.baseline(i)))
		est.Bank[i] = hal.Reading[physic.Power]{}
		if b.credited.Has(i) && !b.alarm && !b.unload {
			est.Bank[i] = hal.Fresh(physic.Power(nano(b.credit[i])))
		}
	}
	if b.unload {
		est.Unloaded = hal.Fresh(int64(1000 * b.share))
	}
}

func nano(watts float64) int64 { return int64(watts * float64(physic.Watt)) }
