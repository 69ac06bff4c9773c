package interlock

import "time"

// Verdict is what a protective function says of its cause at one tick.
type Verdict uint8

// Verdicts. The zero verdict is Unknown, the careful one.
const (
	// Unknown: there is no reading to judge by. The permit is withheld at once
	// and the delay runs, unless the row names another that covers this.
	Unknown Verdict = iota
	// Standing: the cause is there. The delay runs.
	Standing
	// Pending: the permit cannot be given yet; the delay does not run.
	Pending
	// Clear: the cause is not there. The delay drains.
	Clear
	// Idle: the function does not apply now.
	Idle
)

// String returns the verdict in a word.
func (v Verdict) String() string {
	return [...]string{"unknown", "standing", "pending", "clear", "does not apply"}[v]
}

// bad reports whether the cause stands, or may stand for all that is known.
func (v Verdict) bad() bool { return v == Standing || v == Unknown }

// Finding is a verdict with the numbers behind it.
type Finding struct {
	Verdict Verdict
	// Reason is the place of the sentence among those of the row.
	Reason uint8
	// Value and Limit are in the unit of that sentence.
	Value, Limit int64
	// Age is that of the oldest reading used.
	Age time.Duration
}

func clear(value, limit int64, age time.Duration) Finding {
	return Finding{Verdict: Clear, Value: value, Limit: limit, Age: age}
}

func standing(value, limit int64, age time.Duration) Finding {
	return Finding{Verdict: Standing, Value: value, Limit: limit, Age: age}
}

// idle is the finding of a function that does not apply.
var idle = Finding{Verdict: Idle}

// over judges a value that must not exceed its limit; returning is how far
// under the limit it must fall before a hold that stands is given up.
func over(value, limit, returning int64, held bool, age time.Duration) Finding {
	if value > limit || held && value > limit-returning {
		return standing(value, limit, age)
	}
	return clear(value, limit, age)
}

// closed judges a contact: everything but closed is not safe.
func closed(fitted, isClosed bool) Finding {
	switch {
	case !fitted:
		return idle
	case isClosed:
		return clear(0, 0, 0)
	default:
		return standing(0, 0, 0)
	}
}
