package care

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/health"
	"bathtender/firmware/journal"
	"bathtender/firmware/machine"
	"bathtender/hal"
	"bathtender/testdata"
)

func entry(date string, kind journal.Kind, note journal.Note) *journal.Entry {
	wall, err := time.Parse("2006-01-02", date)
	if err != nil {
		panic(err)
	}
	return &journal.Entry{Wall: journal.Wall{Time: wall}, Kind: kind, Note: &note}
}

func proof(date string, whole, broken bool, results ...journal.ProofResult) *journal.Entry {
	return entry(date, journal.ProofTestKind, journal.Note{ProofTest: &journal.ProofTest{Whole: whole, Broken: broken, Results: results}})
}

func TestAProofTestCountsWhenItIsWhole(t *testing.T) {
	for _, c := range []struct {
		whole, broken, counts bool
	}{{true, false, true}, {true, true, false}, {false, false, false}, {false, true, false}} {
		var h History
		h.Take(proof("2026-01-10", c.whole, c.broken))
		assert.Equal(t, c.counts, h.Tests.ProofTested)
		assert.Equal(t, c.counts, h.Tests.ProofTest == day("2026-01-10"))
	}
}

func TestAFailureStandsUntilItPasses(t *testing.T) {
	var h History
	air := journal.ProofResult{Function: "airflow lost", Place: 2, Result: journal.ProofFailed}
	h.Take(proof("2026-01-10", true, false, air, journal.ProofResult{Function: "leak", Result: journal.ProofPassed},
		journal.ProofResult{Function: "stop", By: "heat switches", Result: journal.ProofFailed}))
	assert.Equal(t, []Unproven{{"airflow lost, fan 2", day("2026-01-10")}, {"stop, heat switches", day("2026-01-10")}}, h.Tests.Unproven)
	air.Result = journal.ProofNotTried
	h.Take(proof("2026-01-11", true, false, air))
	assert.Len(t, h.Tests.Unproven, 2, "not trying is no pass")
	air.Result, air.Place = journal.ProofPassed, 1
	h.Take(proof("2026-01-12", false, false, air))
	assert.Len(t, h.Tests.Unproven, 2, "another fan")
	air.Place = 2
	h.Take(proof("2026-01-12", false, false, air))
	assert.Equal(t, []Unproven{{"stop, heat switches", day("2026-01-10")}}, h.Tests.Unproven)
	assert.Equal(t, day("2026-01-11"), h.Tests.ProofTest, "one function again is no proof test")
}

func TestTheLastFoilTestCounts(t *testing.T) {
	var h History
	yes, no := true, false
	h.Take(entry("2026-01-10", journal.FoilTestKind, journal.Note{Passed: &no}))
	assert.True(t, h.Tests.FoilFailed)
	h.Take(entry("2026-01-11", journal.FoilTestKind, journal.Note{Passed: &yes}))
	assert.False(t, h.Tests.FoilFailed)
	assert.Equal(t, day("2026-01-11"), h.Tests.FoilTest)
}

// The liquid is what health kept last and what its owner did since.
func TestTheLiquidOfAJournal(t *testing.T) {
	var h History
	kept := func(emission time.Duration) *journal.Entry {
		return &journal.Entry{Kind: journal.BaselinesKind, Kept: &journal.Kept{Record: &journal.Record{
			Liquid: journal.Liquid{Filled: day("2026-01-01"), Emission: journal.Seconds(emission)},
			Banks:  []journal.BankRecord{{Bank: 3, Baseline: 81 * physic.Watt}},
		}}}
	}
	h.Take(kept(2 * time.Hour))
	h.Take(entry("2026-01-03", journal.TopUpKind, journal.Note{Litres: 0.5}))
	assert.Equal(t, health.LiquidAge{Filled: day("2026-01-01"), EmissionSinceFill: 2 * time.Hour, ToppedUp: hal.Litre / 2}, h.Record.Liquid)
	assert.Equal(t, 81*physic.Watt, h.Record.Banks[2].Baseline)
	h.Take(entry("2026-01-04", journal.FillKind, journal.Note{Litres: 19.8}))
	assert.Equal(t, day("2026-01-04"), h.Record.Liquid.Filled)
	assert.Zero(t, h.Record.Liquid.EmissionSinceFill)
	h.Take(entry("2026-01-05", journal.DrainKind, journal.Note{}))
	assert.Equal(t, health.LiquidAge{}, h.Record.Liquid)
	h.Take(&journal.Entry{Kind: journal.BaselinesKind, Kept: &journal.Kept{Record: &journal.Record{Banks: []journal.BankRecord{{Bank: 99}}}}})
	assert.EqualError(t, h.RecordErr, "bank 99 does not exist, allowed is 1 to 16")
}

// A place that no cabinet has does not stop the reading of a journal.
func TestAPlaceThatNoCabinetHas(t *testing.T) {
	var h History
	h.Take(proof("2026-01-10", true, false, journal.ProofResult{Function: "probe fault", Place: 12, Result: journal.ProofFailed}))
	assert.Equal(t, "probe fault, number 12", h.Tests.Unproven[0].Name)
}

// A bank whose record falls well under its baseline is told with the part to order. The
// sessions are made up: five at 81 W, then a fall of 1 W a session.
func TestADriftOfTheRecordAsksForAnEmitter(t *testing.T) {
	data, err := testdata.FS.ReadFile("machines/slide-tank.toml")
	require.NoError(t, err)
	m, err := machine.Parse("slide-tank.toml", data)
	require.NoError(t, err)
	var record health.Record
	design := health.DriftDesign{Resolution: physic.Watt, BankShort: 750}
	for i := range m.Banks {
		design.Draw[i] = m.Banks[i].Draw
	}
	for n := range 20 {
		var s health.SessionResult
		for i := range m.Banks {
			s.Measured |= hal.Bank(i)
			s.Watts[i] = 81 * physic.Watt
		}
		s.Watts[2] -= physic.Power(max(n-6, 0)) * physic.Watt
		record.EndSession(&design, &s)
	}
	facts := FactsOf(m, &record, Tests{})
	require.Len(t, facts.Banks, 6)
	m.Care = machine.Care{} // nothing else is due
	list := Due(day("2026-01-10"), facts, LimitsOf(m))
	require.Len(t, list, 1)
	assert.Regexp(t, `^bank 3 takes \d+(\.\d)? W less than its 8[01] W baseline.*: order one 40 W 40 kHz emitter for bank 3, and adhesive for the bond$`, list[0])
}
