package care

import (
	"slices"
	"strconv"
	"strings"

	"bathtender/firmware/health"
	"bathtender/firmware/journal"
	"bathtender/hal"
	"bathtender/interlock"
)

// History gathers what a journal says of care, record by record, oldest first. The zero
// History has seen nothing.
type History struct {
	Tests Tests
	// Record is what health kept last; RecordErr why it cannot be used.
	Record    health.Record
	RecordErr error
}

// ReadHistory reads the history of a journal, with what is damaged in it. The error is
// that the journal as a whole cannot be read.
func ReadHistory(disk journal.Disk) (h History, damages []journal.Damage, err error) {
	damages, err = journal.Read(disk, func(e *journal.Entry, _ []byte) bool { h.Take(e); return true })
	return h, damages, err
}

// Take looks at the next record.
func (h *History) Take(e *journal.Entry) {
	switch {
	case e.Kind == journal.BaselinesKind && e.Kept != nil && e.Kept.Record != nil:
		h.Record, h.RecordErr = e.Kept.Record.Health()
	case e.Note == nil:
	case e.Kind == journal.FillKind || e.Kind == journal.TopUpKind || e.Kind == journal.DrainKind:
		h.liquid(e)
	}
	if e.Note == nil {
		return
	}
	switch {
	case e.Kind == journal.FoilTestKind && e.Note.Passed != nil:
		h.Tests.FoilTest, h.Tests.FoilTested = journal.Day(e.Wall.Time), true
		h.Tests.FoilFailed = !*e.Note.Passed
	case e.Kind == journal.ProofTestKind && e.Note.ProofTest != nil:
		h.proof(e)
	}
}

// liquid applies what its owner did to the liquid since health was recorded last; what
// a note lacks was refused when it was written.
func (h *History) liquid(e *journal.Entry) {
	volume := hal.Volume(e.Note.Litres * float64(hal.Litre))
	switch e.Kind {
	case journal.FillKind:
		_ = h.Record.Fill(journal.Day(e.Wall.Time), volume)
	case journal.TopUpKind:
		_ = h.Record.TopUp(volume)
	case journal.DrainKind:
		h.Record.Liquid = health.LiquidAge{}
	}
}

func (h *History) proof(e *journal.Entry) {
	p, day := e.Note.ProofTest, journal.Day(e.Wall.Time)
	for i := range p.Results {
		name := nameOf(&p.Results[i])
		keep := func(u Unproven) bool { return u.Name == name }
		switch p.Results[i].Result {
		case journal.ProofPassed:
			h.Tests.Unproven = slices.DeleteFunc(h.Tests.Unproven, keep)
		case journal.ProofFailed:
			h.Tests.Unproven = append(slices.DeleteFunc(h.Tests.Unproven, keep), Unproven{Name: name, Day: day})
		}
	}
	if p.Whole && !p.Broken {
		h.Tests.ProofTest, h.Tests.ProofTested = day, true
	}
}

// nameOf returns a function's name as prooftest -only takes it.
func nameOf(r *journal.ProofResult) string {
	parts := []string{r.Function}
	if r.Place > 0 {
		for f := range interlock.FunctionCount {
			if row := &interlock.Table[f]; row.Name == r.Function && row.Scope != interlock.Whole {
				parts = append(parts, placeName(row.Scope, r.Place-1))
			}
		}
	}
	if r.By != "" {
		parts = append(parts, r.By)
	}
	return strings.Join(parts, ", ")
}

// placeName names a fan, probe or bank; a number that no cabinet has is only a number,
// since a journal may be damaged or newer.
func placeName(s interlock.Scope, place int) string {
	most := map[interlock.Scope]int{interlock.EachFan: hal.MaxFans, interlock.EachProbe: hal.MaxProbes, interlock.EachBank: hal.MaxBanks}
	if place >= most[s] {
		return "number " + strconv.Itoa(place+1)
	}
	return s.It(place)
}
