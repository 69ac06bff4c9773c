package interlock

// Function is the place of a protective function in the table.
type Function uint8

// The protective functions. Their order is that of the table, and settles which
// of two that trip at the same tick is the first-out: the one further up.
const (
	StopPressed Function = iota
	LoopLate
	Leak
	KeptUnreadable
	BathHighLimit
	ContactorDisagrees
	HeaterWillNotStop
	BankWillNotStop
	AirflowLost
	AirflowNotProven
	AirflowStuck
	LevelLow
	BathTooSmall
	ProbeFault
	ProbesDisagree
	MeterFault
	OverPower
	MainsOutOfRange
	HeaterSilent
	BankShort
	CabinetHot
	BathAboveRecipe
	BathFarAboveRecipe
	LidOpen
	SessionTooLong
	RecordUnwritable
	FunctionCount
)
