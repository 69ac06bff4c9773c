package fault

import (
	"bathtender/hal"
	"bathtender/sim/plant"
)

// Target is what a fault is of.
type Target uint8

// Targets.
const (
	TheCabinet Target = iota
	AFan
	AProbe
	ABank
)

// Measure is what the amount of a fault counts.
type Measure uint8

// Measures.
const (
	NoAmount        Measure = iota
	Share                   // of a whole, from 0 to 1
	Kelvins                 // a difference
	Volts                   //
	LitresPerMinute         //
	Count                   // of emitters
	Seconds                 //
	MetresPerSecond         //
)

// Onset is how a fault comes.
type Onset uint8

// Onsets.
const (
	Sudden       Onset = iota
	Drifting           // it grows to its amount over some minutes
	Intermittent       // it comes and goes
)

// String returns the onset in a word.
func (o Onset) String() string { return [...]string{"sudden", "drifting", "intermittent"}[o] }

// Kind is one entry of the catalogue.
type Kind struct {
	Name   string
	Means  string
	Of     Target
	Amount Measure
	// Onset is how it comes; most that come suddenly may do so again and again.
	Onset Onset
	// Least and Most bound the amount; Usual is what holds where none is given.
	Least, Most, Usual float64
	// set makes the fault of the given size in the plant; 0 takes it away.
	// place counts from 0.
	set func(f *plant.Faults, place int, size float64)
}

// Catalogue is all kinds of faults, by what they are of.
var Catalogue = []Kind{
	{Name: "fan stalled", Means: "the rotor is held", Of: AFan,
		set: func(f *plant.Faults, i int, on float64) { f.FanStalled[i] = on != 0 }},
	{Name: "fan slow", Means: "worn bearings or low supply: the fan lacks a share of its speed", Of: AFan, Onset: Drifting,
		Amount: Share, Most: 1, Usual: 0.6,
		set: func(f *plant.Faults, i int, x float64) { f.FanSpeedLoss[i] = x }},
	{Name: "tach open", Means: "the tach's wire is broken: no pulses from a fan that turns", Of: AFan,
		set: func(f *plant.Faults, i int, on float64) { f.TachOpen[i] = on != 0 }},
	{Name: "tach noise", Means: "the tach's wire picks the mains up: pulses from a fan that may stand", Of: AFan,
		set: func(f *plant.Faults, i int, on float64) { f.TachNoise[i] = on != 0 }},
	{Name: "tach stuck", Means: "the tach shows its last speed for ever", Of: AFan,
		set: func(f *plant.Faults, i int, on float64) { f.TachStuck[i] = on != 0 }},
	{Name: "tach wire loose", Means: "the tach's wire makes contact now and then", Of: AFan, Onset: Intermittent,
		set: func(f *plant.Faults, i int, on float64) { f.TachOpen[i] = on != 0 }},
	{Name: "inlet blocked", Means: "the fans turn, but a share of the air does not get in", Onset: Drifting,
		Amount: Share, Most: 1, Usual: 0.9,
		set: func(f *plant.Faults, _ int, x float64) { f.AirInletBlocked = x }},

	{Name: "probe open", Means: "broken wire: no reading", Of: AProbe,
		set: func(f *plant.Faults, i int, on float64) { f.ProbeOpen[i] = on != 0 }},
	{Name: "probe wire loose", Means: "the probe's wire makes contact now and then", Of: AProbe, Onset: Intermittent,
		set: func(f *plant.Faults, i int, on float64) { f.ProbeOpen[i] = on != 0 }},
	{Name: "probe bus shorted", Means: "one probe holds their common wire down: none answers",
		set: func(f *plant.Faults, _ int, on float64) { f.ProbeShorted = on != 0 }},
	{Name: "probe bus noisy", Means: "a share of the probes' answers get lost on their wire",
		Amount: Share, Most: 1, Usual: 0.7,
		set: func(f *plant.Faults, _ int, x float64) { f.ProbeBusLoss = x }},
	{Name: "probe drifting", Means: "reads less and less, as the bath gets warmer than it says", Of: AProbe, Onset: Drifting,
		Amount: Kelvins, Least: -100, Most: 100, Usual: -15,
		set: func(f *plant.Faults, i int, x float64) { f.ProbeOffset[i] = x }},
	{Name: "probe frozen", Means: "answers with its last value for ever", Of: AProbe,
		set: func(f *plant.Faults, i int, on float64) { f.ProbeFrozen[i] = on != 0 }},
	{Name: "probe offset", Means: "reads too high, or with a negative amount too low", Of: AProbe,
		Amount: Kelvins, Least: -100, Most: 100, Usual: 5,
		set: func(f *plant.Faults, i int, x float64) { f.ProbeOffset[i] = x }},
	{Name: "probe at power-on value", Means: "restarts again and again: answers 85 degC", Of: AProbe,
		set: func(f *plant.Faults, i int, on float64) { f.ProbePowerOn[i] = on != 0 }},
	{Name: "probe in air", Means: "has slipped out and hangs in the air", Of: AProbe,
		set: func(f *plant.Faults, i int, on float64) { f.ProbeInAir[i] = on != 0 }},

	{Name: "meter silent", Means: "no reading from the mains meter",
		set: func(f *plant.Faults, _ int, on float64) { f.MeterSilent = on != 0 }},
	{Name: "meter frozen", Means: "the mains meter answers with its last values for ever",
		set: func(f *plant.Faults, _ int, on float64) { f.MeterFrozen = on != 0 }},
	{Name: "meter garbage", Means: "the mains meter answers with what no mains can be",
		set: func(f *plant.Faults, _ int, on float64) { f.MeterGarbage = on != 0 }},
	{Name: "meter garbage now and then", Means: "the same, between good answers", Onset: Intermittent,
		set: func(f *plant.Faults, _ int, on float64) { f.MeterGarbage = on != 0 }},
	{Name: "meter late", Means: "each answer of the mains meter comes late",
		Amount: Seconds, Most: 60, Usual: 3,
		set: func(f *plant.Faults, _ int, x float64) { f.MeterLate = x }},
	{Name: "meter off scale", Means: "the watts are too high by a share, or with a negative amount too low",
		Amount: Share, Least: -1, Most: 10, Usual: 0.5,
		set: func(f *plant.Faults, _ int, x float64) { f.MeterScale = x }},

	{Name: "heater relay welded", Means: "the heater stays on whatever is commanded, as long as the contactor is closed",
		set: func(f *plant.Faults, _ int, on float64) { f.HeaterWelded = on != 0 }},
	{Name: "heater element open", Means: "the heater takes no power",
		set: func(f *plant.Faults, _ int, on float64) { f.HeaterOpen = on != 0 }},
	{Name: "heater partly open", Means: "one of several elements is broken: the heater lacks a share of its power",
		Amount: Share, Most: 1, Usual: 0.5,
		set: func(f *plant.Faults, _ int, x float64) { f.HeaterLoss = x }},
	{Name: "heater detached", Means: "the pad has come off the tank and heats itself",
		set: func(f *plant.Faults, _ int, on float64) { f.HeaterDetached = on != 0 }},

	{Name: "bank dead", Means: "its driver takes nothing", Of: ABank,
		set: func(f *plant.Faults, i int, on float64) { f.BankDead[i] = on != 0 }},
	{Name: "emitters dead", Means: "so many of the bank's emitters take nothing", Of: ABank,
		Amount: Count, Most: 100, Usual: 1,
		set: func(f *plant.Faults, i int, x float64) { f.EmittersDead[i] = int(x) }},
	{Name: "emitters loose", Means: "so many of the bank's emitters have come off the tank, and heat themselves", Of: ABank,
		Amount: Count, Most: 100, Usual: 1,
		set: func(f *plant.Faults, i int, x float64) { f.EmittersLoose[i] = int(x) }},
	{Name: "bank shorted", Means: "its driver shorts its supply until its fuse blows", Of: ABank,
		set: func(f *plant.Faults, i int, on float64) { f.BankShorted[i] = on != 0 }},
	{Name: "bank fading", Means: "the bank takes less and less", Of: ABank, Onset: Drifting,
		Amount: Share, Least: -1, Most: 10, Usual: -0.5,
		set: func(f *plant.Faults, i int, x float64) { f.BankDrift[i] = x }},
	{Name: "bank relay welded", Means: "the bank stays on whatever is commanded, as long as the contactor is closed", Of: ABank,
		set: func(f *plant.Faults, i int, on float64) { f.BankWelded[i] = on != 0 }},
	{Name: "bank draw off", Means: "the bank takes a share more than it should, or with a negative amount less", Of: ABank,
		Amount: Share, Least: -1, Most: 10, Usual: -0.2,
		set: func(f *plant.Faults, i int, x float64) { f.BankDrift[i] = x }},

	{Name: "contactor welded", Means: "the main contacts stay closed whatever is commanded",
		set: func(f *plant.Faults, _ int, on float64) { f.ContactorWelded = on != 0 }},
	{Name: "contactor will not close", Means: "the main contacts stay open whatever is commanded",
		set: func(f *plant.Faults, _ int, on float64) { f.ContactorWontClose = on != 0 }},

	{Name: "contactor aux stuck closed", Means: "the auxiliary contact says closed for ever",
		set: func(f *plant.Faults, _ int, on float64) { f.AuxStuck = stuckWhere(plant.StuckOK, on) }},
	{Name: "contactor aux stuck open", Means: "the auxiliary contact says open for ever, or its wire is broken",
		set: func(f *plant.Faults, _ int, on float64) { f.AuxStuck = stuckWhere(plant.StuckLow, on) }},

	{Name: "leak", Means: "liquid runs from the tank to the floor",
		Amount: LitresPerMinute, Most: 100, Usual: 1,
		set: func(f *plant.Faults, _ int, x float64) { f.LeakRate = x }},
	{Name: "slow leak", Means: "liquid drips from the tank to the floor", Onset: Drifting,
		Amount: LitresPerMinute, Most: 100, Usual: 0.05,
		set: func(f *plant.Faults, _ int, x float64) { f.LeakRate = x }},
	{Name: "tank emptied", Means: "somebody has emptied the tank at once",
		set: func(f *plant.Faults, _ int, on float64) { f.DrainRate = on * 1000 }},
	{Name: "draught", Means: "air blows over the bath, which evaporates faster",
		Amount: MetresPerSecond, Most: 20, Usual: 2,
		set: func(f *plant.Faults, _ int, x float64) { f.Draught = x }},
	{Name: "drain open", Means: "somebody drains the tank",
		Amount: LitresPerMinute, Most: 100, Usual: 5,
		set: func(f *plant.Faults, _ int, x float64) { f.DrainRate = x }},
	{Name: "cold liquid poured in", Means: "somebody tops the tank up with liquid of the room's temperature",
		Amount: LitresPerMinute, Most: 100, Usual: 5,
		set: func(f *plant.Faults, _ int, x float64) { f.PourRate = x }},

	{Name: "float stuck up", Means: "the float switch says there is enough, for ever",
		set: stick(plant.StuckOK)},
	{Name: "float stuck down", Means: "the float switch says there is too little, for ever",
		set: stick(plant.StuckLow)},
	{Name: "lid off", Means: "somebody takes the lid off",
		set: func(f *plant.Faults, _ int, on float64) { f.LidOpen = on != 0 }},
	{Name: "lid switch stuck", Means: "the lid switch says closed for ever",
		set: func(f *plant.Faults, _ int, on float64) { f.LidSensorStuck = on != 0 }},
	{Name: "lid switch open", Means: "the lid switch or its wire is broken",
		set: func(f *plant.Faults, _ int, on float64) { f.LidSensorOpen = on != 0 }},
	{Name: "stop loop bridged", Means: "somebody has bridged the stop loop: no button opens it",
		set: func(f *plant.Faults, _ int, on float64) { f.StopBridged = on != 0 }},
	{Name: "stop wire loose", Means: "the stop loop's wire makes contact now and then", Onset: Intermittent,
		set: func(f *plant.Faults, _ int, on float64) { f.StopOpen = on != 0 }},
	{Name: "leak sensor stuck", Means: "the leak sensor says dry for ever",
		set: func(f *plant.Faults, _ int, on float64) { f.LeakSensorStuck = on != 0 }},
	{Name: "stop pressed", Means: "a stop button is pressed, or the stop loop is broken",
		set: func(f *plant.Faults, _ int, on float64) { f.StopOpen = on != 0 }},
	{Name: "leak sensor open", Means: "the leak sensor or its wire is broken",
		set: func(f *plant.Faults, _ int, on float64) { f.LeakSensorOpen = on != 0 }},

	{Name: "mains at", Means: "the mains has another voltage",
		Amount: Volts, Least: 1, Most: 440, Usual: 190,
		set: func(f *plant.Faults, _ int, x float64) { f.MainsVolts = x }},
	{Name: "mains out", Means: "the mains is gone",
		set: func(f *plant.Faults, _ int, on float64) { f.MainsOut = on != 0 }},

	{Name: "mains dips", Means: "the mains goes away for a moment, once",
		Amount: Seconds, Least: 0.02, Most: 600, Usual: 0.5,
		set: func(f *plant.Faults, _ int, x float64) { f.MainsDip = x }},
	{Name: "mains swells", Means: "the mains has a higher voltage, and the loads take more", Onset: Drifting,
		Amount: Volts, Least: 1, Most: 440, Usual: 265,
		set: func(f *plant.Faults, _ int, x float64) { f.MainsVolts = x }},

	{Name: "heartbeat relay welded", Means: "the relay that the heartbeat holds in the contactor's coil circuit stays closed",
		set: func(f *plant.Faults, _ int, on float64) { f.HeartbeatWelded = on != 0 }},
	{Name: "lease stuck", Means: "outputs stay on when nothing renews them",
		set: func(f *plant.Faults, _ int, on float64) { f.LeaseStuck = on != 0 }},
	{Name: "tick late", Means: "the board is too busy: each tick comes late",
		Amount: Seconds, Most: 60, Usual: 0.3,
		set: func(f *plant.Faults, _ int, x float64) { f.TickLate = x }},
	{Name: "program stopped", Means: "the program stands still, and goes on when this is over",
		set: func(f *plant.Faults, _ int, on float64) { f.ProgramStopped = on != 0 }},
	{Name: "program killed", Means: "the program is killed, and started anew when this is over",
		set: func(f *plant.Faults, _ int, on float64) { f.ProgramKilled = on != 0 }},
	{Name: "reset held down", Means: "somebody leans on the reset button, or it is stuck",
		set: func(f *plant.Faults, _ int, on float64) { f.ResetHeld = on != 0 }},
	{Name: "journal unwritable", Means: "the journal cannot be made durable",
		set: func(f *plant.Faults, _ int, on float64) { f.RecordBad = on != 0 }},
	{Name: "kept state unreadable", Means: "what was kept from the run before cannot be read",
		set: func(f *plant.Faults, _ int, on float64) { f.KeptBad = on != 0 }},
	{Name: "outputs not as commanded", Means: "an output line reads back other than it was commanded",
		set: func(f *plant.Faults, _ int, on float64) { f.OutputsBad = on != 0 }},
}

func stick(how plant.Stuck) func(*plant.Faults, int, float64) {
	return func(f *plant.Faults, _ int, on float64) {
		f.FloatStuck = plant.NotStuck
		if on != 0 {
			f.FloatStuck = how
		}
	}
}

func stuckWhere(how plant.Stuck, on float64) plant.Stuck {
	if on == 0 {
		return plant.NotStuck
	}
	return how
}

// places returns how many of the target there can be.
func (t Target) places() int {
	switch t {
	case AFan:
		return hal.MaxFans
	case AProbe:
		return hal.MaxProbes
	case ABank:
		return hal.MaxBanks
	default:
		return 1
	}
}
