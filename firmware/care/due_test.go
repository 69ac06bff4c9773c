package care

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/health"
	"bathtender/hal"
)

// day is that of a date, by the calendar of package time.
func day(date string) int32 {
	t, err := time.Parse("2006-01-02", date)
	if err != nil {
		panic(err)
	}
	return int32(t.Unix() / 86400)
}

var limits = Limits{ProofTest: 180, FoilTest: 30, Change: health.ChangeLimits{Emission: 20 * time.Hour, Days: 30}}

// good are facts of which nothing is due on 2026-03-01.
func good() Facts {
	return Facts{
		Liquid: health.LiquidAge{Filled: day("2026-02-20"), EmissionSinceFill: time.Hour},
		Tests:  Tests{ProofTest: day("2026-01-10"), ProofTested: true, FoilTest: day("2026-02-25"), FoilTested: true},
	}
}

func TestNothingIsDue(t *testing.T) {
	assert.Empty(t, Due(day("2026-03-01"), good(), limits))
	assert.Empty(t, Due(day("2026-03-01"), Facts{}, Limits{}), "no limit, nothing due")
}

// The days are counted by the calendar: 180 days from 2026-01-10 are 2026-07-09 (31 - 10
// days of January, 28, 31, 30, 31, 30 and 9 of July), 30 from 2026-02-25 are 2026-03-27.
func TestWhatIsDue(t *testing.T) {
	for _, c := range []struct {
		name   string
		today  string
		change func(*Facts)
		want   []string
	}{
		{"proof test two weeks ahead", "2026-06-25", nil, []string{"the proof test will be due in 14 days, on 2026-07-09"}},
		{"not a day sooner", "2026-06-24", nil, nil},
		{"one day", "2026-07-08", nil, []string{"the proof test will be due in 1 day, on 2026-07-09"}},
		{"on the day", "2026-07-09", nil, []string{"the proof test is due: the last was 180 days ago, its interval is 180 days"}},
		{"never", "2026-03-01", func(f *Facts) { f.Tests.ProofTested, f.Tests.ProofTest = false, 0 }, []string{"no proof test is on record, its interval is 180 days"}},
		{"of an unknown day", "2026-03-01", func(f *Facts) { f.Tests.ProofTest = 0 },
			[]string{"the day of the last proof test is not known, its interval is 180 days: make one"}},
		{"after today", "2026-01-01", func(f *Facts) { f.Tests.FoilTest, f.Liquid.Filled = day("2025-12-30"), day("2025-12-30") },
			[]string{"the last proof test is dated 2026-01-10, after today, 2026-01-01: set the clock"}},
		{"a function failed", "2026-03-01", func(f *Facts) {
			f.Tests.Unproven = []Unproven{{Name: "airflow lost, fan 2", Day: day("2026-02-28")}, {Name: "leak"}}
		}, []string{
			`"airflow lost, fan 2" failed its proof test on 2026-02-28: repair it before the tank is used, and repeat it with prooftest -only`,
			`"leak" failed its proof test on a day that is not known: repair it before the tank is used, and repeat it with prooftest -only`,
		}},
		{"foil failed", "2026-03-01", func(f *Facts) { f.Tests.FoilFailed = true },
			[]string{"the last foil test was failed: look for the bank under the bare patch, and repeat it"}},
		{"emission", "2026-03-01", func(f *Facts) { f.Liquid.EmissionSinceFill = 20 * time.Hour },
			[]string{"the liquid is due for a change: 20 h of emission, its limit is 20 h"}},
		{"fill not known", "2026-03-01", func(f *Facts) { f.Liquid.Filled = 0 },
			[]string{"the day of the fill is not known, so nobody can say when the liquid is due for a change: note it with -kind fill"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			facts := good()
			if c.change != nil {
				c.change(&facts)
			} else { // the other two are new
				facts.Tests.FoilTest, facts.Liquid.Filled = day(c.today), day(c.today)
			}
			assert.Equal(t, c.want, Due(day(c.today), facts, limits))
		})
	}
}

func TestFoilTestAndLiquidByTheirDays(t *testing.T) {
	list := Due(day("2026-03-27"), good(), limits)
	assert.Equal(t, []string{
		"the foil test is due: the last was 30 days ago, its interval is 30 days",
		"the liquid is due for a change: 35 days in the tank, its limit is 30 days",
	}, list)
}

func TestAClockThatIsNotSetIsSaid(t *testing.T) {
	assert.Equal(t, []string{"the clock is not set, so what is due by days is not known"}, Due(0, good(), limits))
}

func TestPartsToOrder(t *testing.T) {
	bank := func(change func(*Bank)) Facts {
		b := Bank{Emitters: 2, Emitter: 40 * physic.Watt, Frequency: 40 * physic.KiloHertz}
		b.Drift = health.Drift{Known: true, Baseline: 81 * physic.Watt, Level: 81 * physic.Watt}
		change(&b)
		return Facts{Banks: []Bank{{}, {}, b}}
	}
	for _, c := range []struct {
		change func(*Bank)
		want   []string
	}{
		{func(*Bank) {}, nil},
		{func(b *Bank) { b.Drift.Known, b.Drift.Warn = false, true }, nil},
		{func(b *Bank) {
			b.Drift.Warn, b.Drift.Level, b.Drift.Shift = true, 75*physic.Watt, -6*physic.Watt
			b.Drift.Foreseen, b.Drift.SessionsLeft = true, 12
		}, []string{"bank 3 takes 6 W less than its 81 W baseline, about 12 sessions until its trip limit: order one 40 W 40 kHz emitter for bank 3, and adhesive for the bond"}},
		{func(b *Bank) { b.Drift.Warn, b.Drift.Level, b.Drift.Shift = true, 15*physic.Watt, -66*physic.Watt },
			[]string{"bank 3 takes 66 W less than its 81 W baseline: order 2 40 W 40 kHz emitters for bank 3, and adhesive for the bond"}},
		{func(b *Bank) { b.Drift.Warn, b.Drift.Shift = true, 5*physic.Watt },
			[]string{"bank 3 takes 5 W more than its 81 W baseline: have its driver and the bonds of its emitters looked at before ordering anything"}},
		{func(b *Bank) { b.OutOfService = true },
			[]string{"bank 3 is out of service: find out whether its driver or an emitter has failed before ordering; it has 2 emitters of 40 W"}},
	} {
		assert.Equal(t, c.want, Due(0, bank(c.change), Limits{}))
	}
}

// A fiftieth of 19.8 l is 396 ml, and 396 + 19404 = 19800.
func TestDose(t *testing.T) {
	d := DoseOf(19800*hal.MilliLitre, 50)
	assert.Equal(t, 396*hal.MilliLitre, d.Concentrate)
	assert.Equal(t, 19404*hal.MilliLitre, d.Water)
	assert.Equal(t, "19.8 l of bath: 396 ml of concentrate and 19.40 l of water", d.Sentence())
	assert.Equal(t, "500 ml of bath: 5 ml of concentrate and 0.50 l of water", DoseOf(500*hal.MilliLitre, 100).Sentence())
	assert.Equal(t, "500 ml of bath: 2.5 ml of concentrate and 0.50 l of water", DoseOf(500*hal.MilliLitre, 200).Sentence())
	assert.Equal(t, "2 l of bath: water alone", DoseOf(2*hal.Litre, 0).Sentence())
	for _, parts := range []int{0, 1, 3, 50, 1000} { // nothing is lost by rounding
		d := DoseOf(1234567, parts)
		assert.Equal(t, d.Bath, d.Concentrate+d.Water)
	}
}
