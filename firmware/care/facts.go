package care

import (
	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/health"
	"bathtender/firmware/machine"
	"bathtender/hal"
)

// Limits are after how long what is due; 0 is no limit.
type Limits struct {
	// ProofTest and FoilTest are in days.
	ProofTest, FoilTest int
	// Change are those of the liquid.
	Change health.ChangeLimits
}

// LimitsOf returns the limits of a machine file.
func LimitsOf(m *machine.Machine) Limits {
	c := &m.Care
	return Limits{
		ProofTest: c.ProofTest, FoilTest: c.FoilTest,
		Change: health.ChangeLimits{Emission: c.ChangeEmission, Days: c.ChangeDays},
	}
}

// Facts are what is known of a tank. The zero Facts is a tank of which nothing is.
type Facts struct {
	Liquid health.LiquidAge
	Banks  []Bank
	Tests  Tests
}

// Bank is one bank, in the order of the machine file.
type Bank struct {
	Drift        health.Drift
	OutOfService bool
	Emitters     int
	Emitter      physic.Power // ultrasonic rating of each emitter
	Frequency    physic.Frequency
}

// Tests are those that its owner has made.
type Tests struct {
	// ProofTest is the day of the last whole proof test that was not broken off, FoilTest
	// that of the last foil test; days count from 1 January 1970, 0 is none, or one of a
	// day that is not known.
	ProofTest, FoilTest int32
	// ProofTested and FoilTested say that there has been one.
	ProofTested, FoilTested bool
	// FoilFailed says that the last foil test was failed.
	FoilFailed bool
	// Unproven are the protective functions whose last trial failed, with the day.
	Unproven []Unproven
}

// Unproven is a protective function whose last trial failed.
type Unproven struct {
	Name string // as prooftest -only takes it
	Day  int32  // 0 where it is not known
}

// FactsOf returns the facts of a machine, from what health keeps and what its owner has
// made of tests.
func FactsOf(m *machine.Machine, record *health.Record, tests Tests) Facts {
	facts := Facts{Liquid: record.Liquid, Tests: tests}
	design := health.DriftDesign{Resolution: m.Meter.Resolution, BankShort: m.Limits.BankShort}
	for i := range min(len(m.Banks), hal.MaxBanks) {
		design.Draw[i] = m.Banks[i].Draw
	}
	for i := range min(len(m.Banks), hal.MaxBanks) {
		b := &m.Banks[i]
		facts.Banks = append(facts.Banks, Bank{
			Drift: record.Drift(&design, i), OutOfService: record.OutOfService.Has(i),
			Emitters: b.Emitters, Emitter: b.Emitter, Frequency: b.Frequency,
		})
	}
	return facts
}
