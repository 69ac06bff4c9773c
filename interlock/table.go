package interlock

import "time"

// Row says all there is to say about one protective function. Whoever adds a
// function adds a row here and its cause beside its like; the matrix, the docs,
// the sentences and the explanations are made from it.
type Row struct {
	// Name is the function's name, Cause what it looks for, Applies when.
	Name, Cause, Applies string
	// Delay is how long the cause must stand; a machine file may shorten it,
	// and lengthen it up to DelayMost.
	Delay, DelayMost time.Duration
	Latch            Latch
	Takes            Effect
	Scope            Scope
	// Strict functions withhold the permit from the first moment that the cause
	// stands, not only after the delay.
	Strict bool
	// Keeps says that the counter keeps its fill while the function does not
	// apply; otherwise it starts anew.
	Keeps bool
	// CoveredBy is the function that answers for a missing reading in this
	// one's stead; None where this one answers itself.
	CoveredBy Cover
	// Judge gives the verdict for the fan, probe or bank at a place from 0.
	Judge func(v view, place int) Finding
	// Says are the sentences for a standing cause, by reason; Blind that for a
	// missing reading.
	Says  []Wording
	Blind string
}

// Cover names a covering function; the zero Cover is none.
type Cover uint8

// None is the Cover of a function that answers for its own missing readings.
const None Cover = 0

func coveredBy(f Function) Cover { return Cover(f) + 1 }

// Function returns the covering function, and whether there is one.
func (c Cover) Function() (Function, bool) { return Function(c - 1), c != None }

// view is what a cause may look at.
type view struct {
	cfg  *Config
	mem  *Memory
	in   *Input
	held bool // whether this slot's hold stands, for hysteresis
}

const second = time.Second

// Table is the protective functions, most drastic first.
var Table = [FunctionCount]Row{
	StopPressed: {
		Name: "stop", Cause: "stop loop open, broken or absent",
		Applies: "always",
		Latch:   Trip, Takes: TakesContactor, Judge: stopPressed,
		Says: []Wording{{"the stop loop is open or broken", Nothing}},
	},
	LoopLate: {
		Name: "loop late", Cause: "a tick later than its deadline, or a clock that does not advance",
		Applies: "from the second tick on",
		Latch:   Trip, Takes: TakesContactor, Judge: loopLate,
		Says: []Wording{
			{"the loop was late: {value} from one tick to the next, over its {limit} deadline", Span},
			{"the loop's clock did not advance", Nothing},
		},
	},
	Leak: {
		Name: "leak", Cause: "leak sensor wet, broken or absent",
		Applies: "where fitted",
		Delay:   1 * second, Latch: Trip, Takes: TakesContactor, Judge: leak,
		Says: []Wording{{"the leak sensor has been wet or broken for {stood}", Nothing}},
	},
	KeptUnreadable: {
		Name: "kept state unreadable", Cause: "what was kept from the run before cannot be read",
		Applies: "always",
		Latch:   Lockout, Takes: TakesContactor, Judge: keptUnreadable,
		Says: []Wording{{"what was kept from the run before cannot be read, so nobody knows whether it was locked out", Nothing}},
	},
	BathHighLimit: {
		Name: "bath high limit", Cause: "a bath probe over the machine's limit",
		Applies: "always",
		Delay:   second / 2, Latch: Lockout, Takes: TakesContactor, Judge: bathHighLimit,
		CoveredBy: coveredBy(ProbeFault),
		Says:      []Wording{{"the bath at {value} is over the machine's {limit} limit for {stood}", Temperature}},
	},
	ContactorDisagrees: {
		Name: "contactor disagrees", Cause: "auxiliary contact against the command",
		Applies: "where fitted",
		Delay:   1 * second, Latch: Lockout, Takes: TakesContactor, Judge: contactorDisagrees,
		Says: []Wording{
			{"the main contactor has not closed {stood} after its command", Nothing},
			{"the main contactor is still closed {stood} after it was told to open", Nothing},
		},
		Blind: "the main contactor's auxiliary contact gives no reading for {stood}",
	},
	HeaterWillNotStop: {
		Name: "heater will not stop", Cause: "the heater's watts with the heater commanded off",
		Applies: "heater commanded off, once the meter shows it",
		Delay:   3 * second, Latch: Lockout, Takes: TakesContactor, Judge: heaterWillNotStop,
		Keeps: true, CoveredBy: coveredBy(MeterFault),
		Says: []Wording{{"{value} that nothing commanded explains, with the heater commanded off, for {stood}; over {limit} it can only be the heater", Power}},
	},
	BankWillNotStop: {
		Name: "bank will not stop", Cause: "a bank's watts with all banks and the heater commanded off",
		Applies: "all banks and the heater commanded off, once the meter shows it",
		Delay:   3 * second, Latch: Lockout, Takes: TakesContactor, Judge: bankWillNotStop,
		Keeps: true, CoveredBy: coveredBy(MeterFault),
		Says: []Wording{{"{value} that nothing commanded explains, with all banks commanded off, for {stood}; over {limit} a bank is still on", Power}},
	},
	AirflowLost: {
		Name: "airflow lost", Cause: "a required fan below its minimum speed",
		Applies: "from the moment air has been proven until the fans are switched off, run-on included",
		Delay:   1 * second, Latch: Trip, Takes: TakesEmission, Scope: EachFan, Judge: airflowLost,
		Says:  []Wording{{"{it} at {value}, below its {limit} minimum for {stood}", Speed}},
		Blind: "{it} gives no speed for {stood}",
	},
	AirflowNotProven: {
		Name: "airflow not proven", Cause: "fans commanded, speed not reached",
		Applies: "from the fans' command until all required fans have reached their minimum",
		Delay:   8 * second, DelayMost: 30 * second, Latch: Trip, Takes: TakesEmission, Scope: EachFan,
		Strict: true, Judge: airflowNotProven,
		Says:  []Wording{{"{it} at {value} has not reached its {limit} minimum in {stood}", Speed}},
		Blind: "{it} gives no speed for {stood} since it was switched on",
	},
	AirflowStuck: {
		Name: "airflow signal stuck", Cause: "a tach still reports speed with the fans off, after coast-down",
		Applies: "fans commanded off; so before every start",
		Delay:   20 * second, DelayMost: 60 * second, Latch: Trip, Takes: TakesStart, Scope: EachFan,
		Strict: true, Judge: airflowStuck,
		Says:  []Wording{{"{it} still reports {value} with the fans off for {stood}, over the {limit} of a standing fan", Speed}},
		Blind: "{it} gives no speed for {stood} with the fans off",
	},
	LevelLow: {
		Name: "level low", Cause: "float switch open, broken or absent",
		Applies: "where fitted",
		Delay:   2 * second, Latch: Trip, Takes: TakesHeater | TakesEmission, Judge: levelLow,
		Says: []Wording{{"the float switch has been down or broken for {stood}: the liquid is under its minimum", Nothing}},
	},
	BathTooSmall: {
		Name: "bath too small", Cause: "the heat balance says less liquid than the minimum, the heater's heat does not find its way, or nothing loads the emitters",
		Applies: "once the estimate is known",
		Latch:   Trip, Takes: TakesHeater | TakesEmission, Judge: bathTooSmall,
		Says: []Wording{
			tooLittle:   {"the bath warms like at most {value} of liquid, less than its {limit} minimum", Volume},
			heaterBare:  {"the heater's heat takes far too long to reach the bath: little or no liquid covers the heater", Nothing},
			heatMissing: {"the heater's heat does not show at the bath probes: they hang out of the liquid, the heater has come off, or cold liquid runs in", Nothing},
			unloaded:    {"all banks together take {value} of what they should: no liquid loads the emitters", Share},
		},
	},
	ProbeFault: {
		Name: "probe fault", Cause: "no reading, out of range, impossible rate, or the power-on value",
		Applies: "each probe that is fitted",
		Delay:   2 * second, Latch: Trip, Takes: TakesHeater | TakesEmission, Scope: EachProbe, Judge: probeFault,
		Says: []Wording{
			believable:   {},
			tooCold:      {"{it} reads {value}, under the {limit} that it can read, for {stood}", Temperature},
			tooHot:       {"{it} reads {value}, over the {limit} that it can read, for {stood}", Temperature},
			powerOnValue: {"{it} shows its power-on value of {value} for {stood}", Temperature},
			tooFast:      {"{it} went to {value}, farther than a bath can have gone from {limit}, for {stood}", Temperature},
		},
		Blind: "{it} gives no reading for {stood}",
	},
	ProbesDisagree: {
		Name: "probes disagree", Cause: "the two bath probes apart",
		Applies: "two bath probes fitted",
		Delay:   10 * second, Latch: Trip, Takes: TakesHeater | TakesEmission, Judge: probesDisagree,
		CoveredBy: coveredBy(ProbeFault),
		Says:      []Wording{{"the bath probes are {value} apart, over {limit}, for {stood}", TemperatureDifference}},
	},
	MeterFault: {
		Name: "meter fault", Cause: "no reading, frozen, or impossible",
		Applies: "always",
		Delay:   3 * second, Latch: Trip, Takes: TakesHeater | TakesEmission, Judge: meterFault,
		Says: []Wording{
			meterUnder:  {"the meter shows {value}, under {limit}, for {stood}", Power},
			meterOver:   {"the meter shows {value}, over the {limit} that it can sensibly show, for {stood}", Power},
			meterFrozen: {"the meter has shown the same mains voltage for {value}, over {limit}: it is frozen", Span},
			meterVolts:  {"the meter shows {value}, outside the 0 V to {limit} that a mains can have, for {stood}", Voltage},
		},
		Blind: "the meter gives no reading for {stood}",
	},
	OverPower: {
		Name: "over-power", Cause: "more watts than everything commanded explains",
		Applies: "once the meter shows what is commanded, unless a load that will not stop explains it",
		Delay:   2 * second, Latch: Trip, Takes: TakesHeater | TakesEmission, Judge: overPower,
		Keeps: true, CoveredBy: coveredBy(MeterFault),
		Says: []Wording{{"{value} at the meter, over the {limit} that everything commanded explains, for {stood}", Power}},
	},
	MainsOutOfRange: {
		Name: "mains out of range", Cause: "mains voltage outside its limits",
		Applies: "the meter reports volts",
		Delay:   2 * second, Latch: Hold, Takes: TakesHeater | TakesEmission, Judge: mainsOutOfRange,
		CoveredBy: coveredBy(MeterFault),
		Says: []Wording{
			{"the mains at {value} is under its {limit} limit for {stood}", Voltage},
			{"the mains at {value} is over its {limit} limit for {stood}", Voltage},
		},
	},
	HeaterSilent: {
		Name: "heater silent", Cause: "heater commanded, its watts missing",
		Applies: "heater commanded on, once the meter shows it",
		Delay:   5 * second, Latch: Trip, Takes: TakesHeater, Judge: heaterSilent,
		Keeps: true, CoveredBy: coveredBy(MeterFault),
		Says: []Wording{{"the heater is on and {value} of its watts arrive, under {limit}, for {stood}", Power}},
	},
	BankShort: {
		Name: "bank short of watts", Cause: "a bank well under its own baseline",
		Applies: "each bank whose watts are known",
		Delay:   5 * second, Latch: Trip, Takes: TakesBank, Scope: EachBank, Judge: bankShort,
		Keeps: true,
		Says:  []Wording{{"{it} takes {value}, under the {limit} that its baseline asks for, for {stood}", Power}},
	},
	CabinetHot: {
		Name: "cabinet hot", Cause: "the cabinet's air over its limit",
		Applies: "a cabinet probe fitted",
		Delay:   2 * second, Latch: Trip, Takes: TakesEmission, Judge: cabinetHot,
		CoveredBy: coveredBy(ProbeFault),
		Says:      []Wording{{"the cabinet's air at {value} is over its {limit} limit for {stood}", Temperature}},
	},
	BathAboveRecipe: {
		Name: "bath above recipe limit", Cause: "a bath probe over the recipe's limit",
		Applies: "while a recipe runs",
		Latch:   Hold, Takes: TakesHeater, Judge: bathAboveRecipe,
		CoveredBy: coveredBy(ProbeFault),
		Says:      []Wording{{"the bath at {value} is over the recipe's {limit} limit", Temperature}},
	},
	BathFarAboveRecipe: {
		Name: "bath far above recipe limit", Cause: "a bath probe more than 2 K over the recipe's limit",
		Applies: "while a recipe runs",
		Latch:   Hold, Takes: TakesEmission, Judge: bathFarAboveRecipe,
		CoveredBy: coveredBy(ProbeFault),
		Says:      []Wording{{"the bath at {value} is over {limit}, far over the recipe's limit", Temperature}},
	},
	LidOpen: {
		Name: "lid open", Cause: "lid switch open, broken or absent",
		Applies: "where fitted",
		Delay:   second / 2, Latch: Hold, Takes: TakesEmission, Judge: lidOpen,
		Says: []Wording{{"the lid has been open for {stood}", Nothing}},
	},
	SessionTooLong: {
		Name: "session too long", Cause: "continuous emission over the machine's limit; a pause under a minute does not end it",
		Applies: "while a bank is on, and until it has rested for a minute",
		Latch:   Trip, Takes: TakesEmission, Judge: sessionTooLong,
		Says: []Wording{{"emission has gone on for {value}, the machine's limit is {limit}", Span}},
	},
	RecordUnwritable: {
		Name: "record unwritable", Cause: "the journal cannot be made durable",
		Applies: "always",
		Latch:   Hold, Takes: TakesStart, Judge: recordUnwritable,
		Says: []Wording{{"the journal has not been made durable", Nothing}},
	},
}

// DelayMost returns the longest delay that a machine file may ask for.
func (f Function) DelayMost() time.Duration { return max(Table[f].Delay, Table[f].DelayMost) }

// Delay returns the delay that holds where a machine file says nothing.
func (f Function) Delay() time.Duration { return Table[f].Delay }

// Name returns the function's name.
func (f Function) Name() string {
	if f >= FunctionCount {
		return "no function"
	}
	return Table[f].Name
}

// String returns the function's name.
func (f Function) String() string { return f.Name() }

// Key returns the function's name as a machine file has it: airflow_lost.
func (f Function) Key() string {
	key := []byte(f.Name())
	for i, c := range key {
		if c == ' ' || c == '-' {
			key[i] = '_'
		}
	}
	return string(key)
}

// DefaultDelay returns the delay of a function, and the longest that a machine
// file may ask for.
func DefaultDelay(f Function) (delay, most time.Duration) { return f.Delay(), f.DelayMost() }
