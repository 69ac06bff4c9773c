package supervisor

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/health"
	"bathtender/firmware/recipe"
	"bathtender/hal"
	"bathtender/interlock"
)

const (
	tick    = 100 * time.Millisecond
	degree  = physic.Kelvin
	celsius = physic.ZeroCelsius
)

// demo is a small tank with two fans, three banks and a heater, and two
// recipes.
func demo() Config {
	cfg := interlock.Config{
		Tick: tick, Deadline: 2 * tick, VolumeMinimum: 5 * hal.Litre, EmissionMax: 45 * time.Minute,
		FloatFitted: true, LidFitted: true, LeakFitted: true, AuxFitted: true,
	}
	for f := range interlock.FunctionCount {
		cfg.Delay[f] = f.Delay()
	}
	for i := range 2 {
		cfg.Fans.Required[i], cfg.Fans.Minimum[i] = true, 1500*hal.RPM
	}
	cfg.Fans.Silent, cfg.Fans.MaxAge = 150*hal.RPM, time.Second
	cfg.Probes = interlock.ProbeConfig{
		Fitted: [3]bool{true, true, true}, Low: celsius - 10*degree, High: celsius + 110*degree,
		Rate: 3 * degree, Step: degree, MaxAge: 2500 * time.Millisecond, Apart: 3 * degree,
		BathLimit: celsius + 70*degree, CabinetLimit: celsius + 55*degree,
		Hysteresis: degree / 2, EmissionAbove: 2 * degree,
	}
	cfg.Power = interlock.PowerConfig{
		Nominal: 230 * physic.Volt, Low: 207 * physic.Volt, High: 253 * physic.Volt, Return: 2 * physic.Volt,
		ReportsVolts: true, Banks: 3, BankShort: 700, Heater: 1000 * physic.Watt,
		Unexplained: 40 * physic.Watt, Tolerance: 100, MeterMax: 3680 * physic.Watt,
		MaxAge: 2 * time.Second, Settle: 500 * time.Millisecond, Frozen: time.Minute,
	}
	for i := range 3 {
		cfg.Power.Bank[i] = 80 * physic.Watt
	}
	return Config{
		Rules: Rules{
			Interlock: cfg,
			Timing: recipe.Timing{
				Purge: 2 * time.Second, Watch: 5 * time.Second, Stagger: 2 * time.Second,
				PreheatMax: time.Hour, HoldMax: 10 * time.Minute,
				RunOnLeast: time.Minute, RunOnMost: 5 * time.Minute, CabinetCool: celsius + 30*degree,
				Band: degree / 2, Resume: degree, RollCall: 700 * time.Millisecond, RollEvery: 15 * time.Second, ProbeMaxAge: 2500 * time.Millisecond,
				Banks: hal.FirstBanks(3), Heater: true,
			},
			Recipes: []recipe.Recipe{
				{Name: "cold", Limit: celsius + 50*degree, Clean: time.Minute, Sides: 1, BanksLeast: 3},
				{Name: "warm", Set: celsius + 45*degree, Limit: celsius + 50*degree, Degas: 30 * time.Second,
					Clean: time.Minute, Sides: 2, Pause: time.Minute, BanksLeast: 2},
			},
		},
		Health: health.Config{
			Nominal: 230 * physic.Volt, ReportsVolts: true, Heater: 1000 * physic.Watt,
			Banks: 3, Draw: cfg.Power.Bank, Emitters: [hal.MaxBanks]int{2, 2, 2},
			Settle: 500 * time.Millisecond, MaxAge: 2500 * time.Millisecond,
			Fill: 10 * hal.Litre, Minimum: 5 * hal.Litre, Brim: 12 * hal.Litre, Length: 0.5, Width: 0.2,
			LidSwitch: true, TankHeat: 1000, LitreHeat: 4180,
		},
	}
}

// cabinet is an ideal cabinet that does at once what it is told: enough to
// drive Tick through a session, with none of the plant's physics.
type cabinet struct {
	*Supervisor
	config  Config
	snap    hal.Snapshot
	request hal.Request
	out     hal.Outputs
	bath    physic.Temperature
	rate    physic.Temperature // of warming, per tick with the heater on
	stopped [2]bool            // fans that do not turn
	dead    hal.Banks
	spoil   func(*hal.Snapshot)
	said    []string
	log     []Event
}

func newCabinet() *cabinet {
	c := &cabinet{config: demo(), bath: celsius + 40*degree, rate: degree / 10}
	c.Supervisor = New(c.config, Kept{})
	c.snap.Time = -tick
	return c
}

func (c *cabinet) step() {
	c.snap.Time += tick
	if c.out.Heater {
		c.bath += c.rate
	}
	watts := physic.Power(0)
	if c.out.Contactor && c.out.Heater {
		watts += 1000
	}
	if c.out.Contactor {
		watts += 80 * physic.Power((c.out.Banks &^ c.dead).Count())
	}
	c.snap.Probes = [3]hal.Reading[physic.Temperature]{hal.Fresh(c.bath), hal.Fresh(c.bath), hal.Fresh(celsius + 25*degree)}
	for i := range c.stopped {
		c.snap.Fans[i] = hal.Fresh(hal.RotationalSpeed(0))
		if c.out.Fans && !c.stopped[i] {
			c.snap.Fans[i] = hal.Fresh(2600 * hal.RPM)
		}
	}
	c.snap.Meter = hal.Meter{
		Watts: hal.Fresh(watts * physic.Watt),
		Volts: hal.Fresh(230*physic.Volt + physic.ElectricPotential(c.snap.Time/tick%2)),
	}
	c.snap.Contacts = hal.Contacts{
		LevelOK: hal.Closed, LidClosed: hal.Closed, StopClosed: hal.Closed, LeakDry: hal.Closed,
		ContactorAux: hal.ContactOf(c.out.Contactor),
	}
	c.snap.OutputsOK, c.snap.RecordOK, c.snap.KeptOK = true, true, true
	if c.spoil != nil {
		c.spoil(&c.snap)
	}
	var events []Event
	c.out, events = c.Tick(&c.snap, c.request)
	for _, e := range events {
		c.said = append(c.said, c.Sentence(e))
		c.log = append(c.log, e)
	}
}

func (c *cabinet) run(d time.Duration) {
	for range int(d / tick) {
		c.step()
	}
}

// press holds a request for one tick and lets it go.
func (c *cabinet) press(request hal.Request) {
	c.request = request
	c.step()
	c.request = hal.Request{}
	c.step()
}

func (c *cabinet) start(name string) { c.press(hal.Request{Verb: hal.Start, Recipe: name}) }

// until runs to a phase, and reports whether it came within the time.
func (c *cabinet) until(p recipe.Phase, within time.Duration) bool {
	for range int(within / tick) {
		if c.Status().Phase == p {
			return true
		}
		c.step()
	}
	return c.Status().Phase == p
}

// cleaning brings the cabinet to the clean of a recipe with all banks on.
func cleaning(name string) *cabinet {
	c := newCabinet()
	c.run(time.Second)
	c.start(name)
	c.until(recipe.Clean, 10*time.Minute)
	c.run(8 * time.Second)
	return c
}
