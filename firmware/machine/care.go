package machine

import (
	"time"

	"bathtender/firmware/tomlfile"
	"bathtender/hal/quantity"
)

// Care is after how long what is due, by the optional table [care]; 0 is no limit.
type Care struct {
	// ProofTest and FoilTest are how many days may lie between two tests.
	ProofTest, FoilTest int
	// ChangeEmission and ChangeDays are the emission and the days after which the
	// liquid is due for a change, whatever recipe runs.
	ChangeEmission time.Duration
	ChangeDays     int
}

// daysMost bounds the intervals: three years, one of them a leap year.
const daysMost = 1096

func (r *reader) readCare() {
	to, t := &r.m.Care, r.file.Root().TableIf("care")
	to.ProofTest = int(tomlfile.Or(t, "proof_test", quantity.Days, 0, 1, daysMost))
	to.FoilTest = int(tomlfile.Or(t, "foil_test", quantity.Days, 0, 1, daysMost))
	to.ChangeEmission = tomlfile.Or(t, "change_emission", quantity.Duration, 0, time.Minute, 1000*time.Hour)
	to.ChangeDays = t.Integer("change_days", 0, 1, 1000)
}
