package journal

import (
	"encoding/json"
	"time"
)

// Kind is what a record is about.
type Kind string

// Kinds of records.
const (
	BootKind      Kind = "boot"     // the program has started
	ShutdownKind  Kind = "shutdown" // the program has ended in order
	StartKind     Kind = "start"    // a session has begun
	SessionKind   Kind = "session"  // a session has ended, and what it was
	TripKind      Kind = "trip"
	LockoutKind   Kind = "lockout"
	ResetKind     Kind = "reset"
	RefusedKind   Kind = "refused" // a start or a reset was refused
	FindingKind   Kind = "finding" // of health
	NoteKind      Kind = "note"
	FillKind      Kind = "fill"
	DrainKind     Kind = "drain"
	TopUpKind     Kind = "top-up"
	RepairKind    Kind = "repair"
	FoilTestKind  Kind = "foil test"
	ProofTestKind Kind = "proof test"
	BaselinesKind Kind = "baselines" // of the banks, and all else that health keeps
	LostKind      Kind = "lost"      // what could not be recorded
	DamageKind    Kind = "damage"    // what was found damaged
	ThinnedKind   Kind = "thinned"   // traces that were removed or thinned out
)

// Kinds returns all kinds, in the order in which they are listed for people.
func Kinds() []Kind {
	return []Kind{BootKind, ShutdownKind, StartKind, SessionKind, TripKind, LockoutKind, ResetKind, RefusedKind,
		FindingKind, NoteKind, FillKind, DrainKind, TopUpKind, RepairKind, FoilTestKind, ProofTestKind,
		BaselinesKind, LostKind, DamageKind, ThinnedKind}
}

// OwnersKinds are those that the owner writes.
func OwnersKinds() []Kind {
	return []Kind{NoteKind, FillKind, DrainKind, TopUpKind, RepairKind, FoilTestKind}
}

// Entry is one record. What a kind has nothing to say about is left out.
type Entry struct {
	// Seq is its number, from 1 without gaps.
	Seq uint64 `json:"seq"`
	// Wall is the time of the wall clock, which may be wrong or jump: Boot and
	// Mono tell the order. Mono is the time since the program's start.
	Wall Wall    `json:"wall"`
	Mono Seconds `json:"mono_s"`
	// Boot counts the starts of the program, from 1.
	Boot uint32 `json:"boot"`
	// Program is its version, Machine the fingerprint of the machine file, cut
	// to 16 digits.
	Program string `json:"program"`
	Machine string `json:"machine"`
	Kind    Kind   `json:"kind"`
	// Text says it in plain words.
	Text string `json:"text"`

	Recipe  string       `json:"recipe,omitempty"`
	Trip    *Trip        `json:"trip,omitempty"`
	Session *SessionFact `json:"session,omitempty"`
	Note    *Note        `json:"note,omitempty"`
	Kept    *Kept        `json:"kept,omitempty"`
	Lost    *Lost        `json:"lost,omitempty"`
	// Files are the fingerprints of the machine file and the recipes.
	Files []string `json:"files,omitempty"`
}

// Trip goes with a trip, a lockout, a reset and a refused reset.
type Trip struct {
	// Function is the protective function's name, Place that of the fan, probe
	// or bank, from 1; 0 where the whole cabinet is meant.
	Function string `json:"function"`
	Place    int    `json:"place,omitempty"`
	// FirstOut says that it was the first cause of the shutdown.
	FirstOut bool `json:"first_out,omitempty"`
	// Window is the name of the black-box window, without its folder.
	Window string `json:"window,omitempty"`
	// Readings are all that the sensors said at that tick, and the outputs, by the names of a
	// trace's columns.
	Readings json.RawMessage `json:"readings,omitempty"`
}

// SessionFact goes with the end of a session.
type SessionFact struct {
	Recipe  string  `json:"recipe"`
	Outcome string  `json:"outcome"`
	Began   Seconds `json:"began_mono_s"`
	// Minutes is how long it was from start to end, run-on left out; Emission
	// how long emitters were on.
	Minutes  float64 `json:"minutes"`
	Emission float64 `json:"emission_min"`
	// Energy is what the meter counted, in Wh.
	Energy float64 `json:"energy_Wh"`
	// Litres is the last estimate of the liquid, 0 where there is none.
	Litres float64 `json:"litres,omitempty"`
	// Hottest is the hottest that a bath probe was, in degC.
	Hottest float64     `json:"hottest_degC,omitempty"`
	Banks   []BankWatts `json:"banks,omitempty"`
	// Trips and Holds count what acted, by the protective function's name.
	Trips map[string]int `json:"trips,omitempty"`
	Holds map[string]int `json:"holds,omitempty"`
	// Trace is the name of the session's trace, without its folder.
	Trace string `json:"trace,omitempty"`
}

// BankWatts are the mean watts of a bank, from 1, in a session, and what it was
// held against.
type BankWatts struct {
	Bank     int     `json:"bank"`
	Watts    float64 `json:"W"`
	Baseline float64 `json:"baseline_W"`
}

// Note goes with what the owner writes.
type Note struct {
	// ID names a note before it has a number, so that it is taken in once.
	ID string `json:"id"`
	// Litres of a fill or a top-up, Bank of a repair, from 1.
	Litres float64 `json:"litres,omitempty"`
	Bank   int     `json:"bank,omitempty"`
	// Passed is the result of a foil test.
	Passed *bool `json:"passed,omitempty"`
	// ProofTest goes with a proof test.
	ProofTest *ProofTest `json:"proof_test,omitempty"`
}

// Lost counts what a slow or failing disk left no room for.
type Lost struct {
	Events int `json:"events,omitempty"`
	Rows   int `json:"rows,omitempty"`
	// Why is the disk's last error.
	Why string `json:"why,omitempty"`
}

// Wall is a time of the wall clock, in UTC and to the millisecond.
type Wall struct{ time.Time }

const wallForm = "2006-01-02T15:04:05.000Z"

// MarshalJSON implements json.Marshaler; it hides that of time.Time, which has
// its own form.
func (w Wall) MarshalJSON() ([]byte, error) {
	return w.UTC().AppendFormat(nil, `"`+wallForm+`"`), nil
}
