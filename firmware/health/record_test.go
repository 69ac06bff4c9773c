package health

import (
	"encoding/json"
	"math"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"periph.io/x/conn/v3/physic"
	"pgregory.net/rapid"

	"bathtender/hal"
)

func TestRecordOfANewMachine(t *testing.T) {
	d, r := ofHundred(), Record{}
	d.Draw[1] = 81 * physic.Watt
	assert.Zero(t, r.OutOfService, "all banks are in service")
	for i := range hal.MaxBanks {
		assert.Equal(t, d.Draw[i], r.Baseline(d, i), "what is stated, until it is measured")
		assert.Equal(t, Drift{}, r.Drift(d, i))
	}
	assert.Equal(t, "bank 2 has no baseline yet, it needs 5 sessions", r.Drift(d, 1).Sentence(1))
}

func TestRecordFoldsASessionIn(t *testing.T) {
	d, r := ofHundred(), Record{}
	s := SessionResult{
		Measured: hal.Bank(0) | hal.Bank(2),
		Emission: 8 * time.Minute,
		Volume:   hal.Fresh(19 * hal.Litre),
	}
	for i := range s.Watts {
		s.Watts[i] = physic.Power(90+i) * physic.Watt
	}
	for range BaselineSessions {
		r.EndSession(d, &s)
	}
	assert.Equal(t, 5, r.Sessions)
	assert.Equal(t, LiquidAge{EmissionSinceFill: 40 * time.Minute, Volume: 19 * hal.Litre}, r.Liquid)
	assert.Equal(t, 90*physic.Watt, r.Baseline(d, 0))
	assert.Equal(t, 92*physic.Watt, r.Baseline(d, 2))
	assert.Equal(t, 100*physic.Watt, r.Baseline(d, 1), "it was not measured")
	assert.Equal(t, BankRecord{}, r.Banks[1])

	s.Volume, s.Emission = hal.Reading[hal.Volume]{Value: hal.Litre}, -time.Hour
	r.EndSession(d, &s)
	assert.Equal(t, LiquidAge{EmissionSinceFill: 40 * time.Minute, Volume: 19 * hal.Litre}, r.Liquid, "no reading and no time change nothing")
}

// Until there is a baseline a bank is held against what the machine file states:
// one that is short from the start must not make that its baseline.
func TestRecordLearnsNoFaultyBaseline(t *testing.T) {
	d, r := ofHundred(), Record{}
	for range 3 * BaselineSessions {
		ended(&r, d, 60)
		ended(&r, d, 140)
	}
	assert.Equal(t, BankRecord{}, r.Banks[0])
	assert.Equal(t, 100*physic.Watt, r.Baseline(d, 0))
	for range BaselineSessions {
		ended(&r, d, 75)
	}
	assert.Equal(t, 75*physic.Watt, r.Baseline(d, 0))
}

func TestRecordTakesOutAndPutsBack(t *testing.T) {
	d, r := ofHundred(), Record{}
	for range BaselineSessions + 4 {
		ended(&r, d, 98)
	}
	history := r.Banks[0]
	require.NoError(t, r.TakeOut(0))
	require.NoError(t, r.TakeOut(4))
	assert.Equal(t, "100010", r.OutOfService.Text(6))
	ended(&r, d, 90)
	assert.Equal(t, history, r.Banks[0], "out of service it does not count, and nothing is forgotten")
	assert.Equal(t, Drift{}, r.Drift(d, 0))

	require.NoError(t, r.PutBack(0))
	assert.Equal(t, "000010", r.OutOfService.Text(6))
	assert.Equal(t, BankRecord{}, r.Banks[0], "it is another bank now")
	require.NoError(t, r.PutBack(0), "a bank in service may be repaired too")
}

func TestRecordFillAndTopUp(t *testing.T) {
	var r Record
	require.NoError(t, r.TopUp(2*hal.Litre))
	assert.Equal(t, LiquidAge{ToppedUp: 2 * hal.Litre}, r.Liquid, "how much there is remains unknown")
	r.Liquid.EmissionSinceFill = time.Hour
	require.NoError(t, r.Fill(20000, 19800*hal.MilliLitre))
	assert.Equal(t, LiquidAge{Filled: 20000, Volume: 19800 * hal.MilliLitre}, r.Liquid, "a fill begins anew")
	require.NoError(t, r.TopUp(500*hal.MilliLitre))
	require.NoError(t, r.TopUp(hal.Litre))
	assert.Equal(t, LiquidAge{Filled: 20000, ToppedUp: 1500 * hal.MilliLitre, Volume: 21300 * hal.MilliLitre}, r.Liquid)
}

// What cannot be is said in one sentence and changes nothing.
func TestRecordRefuses(t *testing.T) {
	r := Record{Liquid: LiquidAge{Filled: 20000, Volume: hal.Litre}}
	before := r
	for want, err := range map[string]error{
		"bank 17 does not exist, allowed is 1 to 16":                                              r.TakeOut(16),
		"bank 0 does not exist, allowed is 1 to 16":                                               r.PutBack(-1),
		"day -1 of the fill is before 1 January 1970, allowed is a later day, or 0 for not known": r.Fill(-1, hal.Litre),
		"a fill of 0 ml is not an amount of liquid, allowed is more than 0 l":                     r.Fill(1, 0),
		"a top-up of -500 ml is not an amount of liquid, allowed is more than 0 l":                r.TopUp(-500 * hal.MilliLitre),
	} {
		assert.EqualError(t, err, want)
	}
	assert.Equal(t, before, r)
	assert.Zero(t, r.Baseline(ofHundred(), 16))
	assert.Equal(t, Drift{}, r.Drift(ofHundred(), -1))
}

// A record is comparable, and what is stored as integers comes back the same.
func TestRecordIsAValue(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, r := ofHundred(), Record{}
		for _, w := range rapid.SliceOfN(rapid.Float64Range(50, 150), 0, 50).Draw(t, "watts") {
			ended(&r, d, w)
		}
		text, err := json.Marshal(r)
		require.NoError(t, err)
		var back Record
		require.NoError(t, json.Unmarshal(text, &back))
		require.True(t, back == r, "%s", cmp.Diff(r, back))
	})
}

// Without a stated draw anything that can be is taken for the first baseline.
func TestRecordWithoutADraw(t *testing.T) {
	var r Record
	for _, watts := range []float64{0, -5} {
		ended(&r, &DriftDesign{}, watts)
		assert.Equal(t, BankRecord{}, r.Banks[0], "%g W", watts)
	}
	ended(&r, &DriftDesign{}, 37)
	assert.Equal(t, int32(1), r.Banks[0].Counted)
}

// A baseline without its count is taken for one of a single session.
func TestRecordWithoutACount(t *testing.T) {
	r := Record{}
	r.Banks[0] = BankRecord{Baseline: 100 * physic.Watt, Sessions: BaselineSessions}
	ended(&r, ofHundred(), 98)
	assert.InDelta(t, (2*math.Sqrt(0.5)-0.5)*float64(physic.Watt), float64(r.Banks[0].Cusum.Lower), 1)
}

// A record that was stored badly gives no panic and no forecast out of nothing.
func TestRecordSurvivesNonsense(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, r := ofHundred(), Record{}
		d.BankShort, d.Resolution = rapid.Int64().Draw(t, "short"), physic.Power(rapid.Int64().Draw(t, "resolution"))
		b := &r.Banks[0]
		b.Baseline, b.Total = physic.Power(rapid.Int64().Draw(t, "baseline")), physic.Power(rapid.Int64().Draw(t, "total"))
		b.Counted, b.Sessions = rapid.Int32().Draw(t, "counted"), rapid.Int32().Draw(t, "sessions")
		b.Cusum = Cusum{
			rapid.Int64().Draw(t, "upper"), rapid.Int64().Draw(t, "lower"),
			rapid.Int32().Draw(t, "upper count"), rapid.Int32().Draw(t, "lower count"),
		}
		for range 3 {
			got := r.Drift(d, 0)
			require.True(t, 0 <= got.Least && got.Least <= got.SessionsLeft && got.SessionsLeft <= got.Most && got.Most <= SessionsLeftMost, "%+v", got)
			require.NotPanics(t, func() { ended(&r, d, 95) })
		}
	})
}

func TestRecordCountsDoNotOverflow(t *testing.T) {
	d, r := ofHundred(), Record{}
	for range countMost + 10 {
		ended(&r, d, 100)
	}
	b := r.Banks[0]
	assert.Equal(t, int32(countMost), b.Counted)
	assert.Equal(t, int32(countMost+1), b.Sessions)
	assert.Equal(t, 100*physic.Watt, b.Baseline)
	assert.Less(t, countMost*int64(10*physic.KiloWatt), int64(math.MaxInt64), "so many sessions of so large a bank can be added up")
}
