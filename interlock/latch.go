package interlock

// Latch is what it takes for a permit to come back.
type Latch uint8

// Latch classes.
const (
	// Hold: the permit comes back by itself when the cause has gone.
	Hold Latch = iota
	// Trip: latched; needs a local reset after the cause has gone.
	Trip
	// Lockout: a trip that also survives power loss.
	Lockout
)

// String returns the latch class in a word.
func (l Latch) String() string { return [...]string{"hold", "trip", "lockout"}[l] }

// Effect is a set of what a function takes away.
type Effect uint8

// What a function can take away. Taking the contactor takes heater and emission
// too. Whatever takes anything but a bank also withholds the next start.
const (
	TakesStart Effect = 1 << iota
	TakesHeater
	TakesEmission
	TakesContactor
	TakesBank
)

// Has reports whether all of the given effects are in the set.
func (e Effect) Has(other Effect) bool { return e&other == other }

// String returns the effects as a list: "heater, emission".
func (e Effect) String() string {
	text := ""
	for i, name := range [...]string{"start", "heater", "emission", "contactor", "that bank"} {
		if e&(1<<i) != 0 {
			if text != "" {
				text += ", "
			}
			text += name
		}
	}
	return text
}

// Scope is what a row of the table is judged for, one by one.
type Scope uint8

// Scopes.
const (
	Whole Scope = iota // once for the cabinet
	EachFan
	EachProbe
	EachBank
)

// consequences are what follows from taking something away: without the
// contactor there is neither heat nor emission, and whatever takes anything but
// a bank withholds the next start.
func (e Effect) consequences() Effect {
	if e.Has(TakesContactor) {
		e |= TakesHeater | TakesEmission
	}
	if e&^TakesBank != 0 {
		e |= TakesStart
	}
	return e
}
