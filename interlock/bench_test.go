package interlock

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
)

// bench drives Judge by hand: a healthy cabinet that a test spoils.
type bench struct {
	table     *[FunctionCount]Row
	cfg       Config
	mem       Memory
	snap      hal.Snapshot
	est       Estimates
	commanded hal.Outputs
	limit     physic.Temperature // of the recipe
	reset     bool
	events    Events
	log       []Event
	permits   Permits
	ticked    bool
}

const (
	tick    = 100 * time.Millisecond
	degree  = physic.Kelvin
	celsius = physic.ZeroCelsius
)

func demoConfig() Config {
	cfg := Config{
		Tick: tick, Deadline: 2 * tick,
		VolumeMinimum: 12600 * hal.MilliLitre,
		EmissionMax:   45 * time.Minute,
		FloatFitted:   true, LidFitted: true, LeakFitted: true, AuxFitted: true,
	}
	for f := range FunctionCount {
		cfg.Delay[f] = f.Delay()
	}
	for i := range 2 {
		cfg.Fans.Required[i] = true
		cfg.Fans.Minimum[i] = 1500 * hal.RPM
	}
	cfg.Fans.Silent, cfg.Fans.MaxAge = 150*hal.RPM, 1500*time.Millisecond
	cfg.Probes = ProbeConfig{
		Fitted: [3]bool{true, true, true},
		Low:    celsius - 10*degree, High: celsius + 110*degree, PowerOn: celsius + 85*degree,
		Rate: 3 * degree, Step: degree, MaxAge: 2500 * time.Millisecond, Apart: 3 * degree,
		BathLimit: celsius + 70*degree, CabinetLimit: celsius + 55*degree,
		Hysteresis: degree / 2, EmissionAbove: 2 * degree,
	}
	cfg.Power = PowerConfig{
		Nominal: 230 * physic.Volt, Low: 207 * physic.Volt, High: 253 * physic.Volt, Return: 2 * physic.Volt,
		ReportsVolts: true, Banks: 6, BankShort: 700, Heater: 1000 * physic.Watt,
		Standby: 4 * physic.Watt, Fans: 14 * physic.Watt,
		Unexplained: 40 * physic.Watt, Tolerance: 100, MeterMax: 3680 * physic.Watt,
		MaxAge: 2 * time.Second, Settle: 1300 * time.Millisecond, Frozen: time.Minute,
	}
	for i := range 6 {
		cfg.Power.Bank[i] = 81 * physic.Watt
	}
	return cfg
}

// newBench returns a cabinet at rest: warm bath, everything off and quiet.
func newBench(table *[FunctionCount]Row) *bench {
	b := &bench{table: table, cfg: demoConfig()}
	b.snap.Probes = [3]hal.Reading[physic.Temperature]{
		hal.Fresh(celsius + 40*degree), hal.Fresh(celsius + 40*degree), hal.Fresh(celsius + 25*degree),
	}
	b.spin(0)
	b.snap.Meter.Volts = hal.Fresh(230 * physic.Volt)
	b.watts(4)
	b.snap.Contacts = hal.Contacts{
		LevelOK: hal.Closed, LidClosed: hal.Closed, StopClosed: hal.Closed, LeakDry: hal.Closed, ContactorAux: hal.Open,
	}
	b.snap.OutputsOK, b.snap.RecordOK, b.snap.KeptOK = true, true, true
	return b
}

func (b *bench) spin(speed hal.RotationalSpeed) {
	for i := range 2 {
		b.snap.Fans[i] = hal.Fresh(speed * hal.RPM)
	}
}

func (b *bench) watts(w physic.Power) { b.snap.Meter.Watts = hal.Fresh(w * physic.Watt) }

func (b *bench) bath(tenths physic.Temperature) {
	for i := range 2 {
		b.snap.Probes[i] = hal.Fresh(celsius + tenths*degree/10)
	}
}

// run ticks for the given time.
func (b *bench) run(d time.Duration) {
	for range int(d / tick) {
		b.step(tick)
	}
}

// step makes one tick after the given time.
func (b *bench) step(d time.Duration) {
	b.snap.Time += d
	// A mains is never quite still.
	if b.snap.Meter.Volts.Valid && b.snap.Meter.Volts.Value%2 == 0 {
		b.snap.Meter.Volts.Value++
	} else if b.snap.Meter.Volts.Valid {
		b.snap.Meter.Volts.Value--
	}
	b.judge(d)
}

func (b *bench) judge(d time.Duration) {
	in := Input{
		Snapshot: &b.snap, Estimates: &b.est, Commanded: b.commanded, Elapsed: d, First: !b.ticked,
		RecipeLimit: b.limit, ResetReleased: b.reset,
	}
	b.ticked, b.reset = true, false
	b.events.Empty()
	b.permits = judge(b.table, &b.cfg, &b.mem, &in, &b.events)
	b.log = append(b.log, b.events.All()...)
}

// rest lets the cabinet stand with everything off.
func rest(b *bench) { b.run(3 * time.Second) }

// air runs the fans up and proves the air.
func air(b *bench) {
	rest(b)
	b.commanded.Fans = true
	b.spin(2600)
	b.watts(18)
	b.run(3 * time.Second)
}

// closedUp has air proven and the contactor closed, nothing else on.
func closedUp(b *bench) {
	air(b)
	b.commanded.Contactor = true
	b.snap.Contacts.ContactorAux = hal.Closed
	b.run(3 * time.Second)
}

// heating has the heater on.
func heating(b *bench) {
	closedUp(b)
	b.commanded.Heater = true
	b.watts(1018)
	b.run(3 * time.Second)
}

// emitting has all banks on.
func emitting(b *bench) {
	closedUp(b)
	b.commanded.Banks = hal.FirstBanks(6)
	b.watts(18 + 486)
	for i := range 6 {
		b.est.Bank[i] = hal.Fresh(81 * physic.Watt)
	}
	b.run(3 * time.Second)
}

// cooking is emission with a recipe whose limit is 50 degrees.
func cooking(b *bench) {
	b.limit = celsius + 50*degree
	emitting(b)
}

// did returns the events of one kind of a function.
func (b *bench) did(f Function, kind Kind) []Event {
	var found []Event
	for _, e := range b.log {
		if e.Function == f && e.Kind == kind {
			found = append(found, e)
		}
	}
	return found
}
