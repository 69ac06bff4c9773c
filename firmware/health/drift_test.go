package health

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"periph.io/x/conn/v3/physic"
	"pgregory.net/rapid"

	"bathtender/hal"
)

// ofHundred is a design for banks of 100 W, whose sigma is then 1 W.
func ofHundred() *DriftDesign {
	d := &DriftDesign{Resolution: physic.Watt, BankShort: 700}
	for i := range d.Draw {
		d.Draw[i] = 100 * physic.Watt
	}
	return d
}

// ended ends a session in which bank 1 took so many watts.
func ended(r *Record, d *DriftDesign, watts float64) {
	s := SessionResult{Measured: hal.Bank(0)}
	s.Watts[0] = physic.Power(watts * float64(physic.Watt))
	r.EndSession(d, &s)
}

func TestSigma(t *testing.T) {
	for _, c := range []struct{ resolution, baseline, want physic.Power }{
		{physic.Watt, 80 * physic.Watt, 800 * physic.MilliWatt},
		{physic.Watt, 40 * physic.Watt, 600 * physic.MilliWatt},
		{physic.Watt / 10, 40 * physic.Watt, 400 * physic.MilliWatt},
		{5 * physic.Watt, 80 * physic.Watt, 3 * physic.Watt},
		{0, 40 * physic.Watt, 600 * physic.MilliWatt},
	} {
		d := DriftDesign{Resolution: c.resolution}
		assert.Equal(t, c.want, d.Sigma(c.baseline), "%v at a step of %v", c.baseline, c.resolution)
		// The variance of a rounded reading is a twelfth of its step squared,
		// that of a difference twice that (JCGM 100:2008, F.2.2.1; from memory).
		assert.Greater(t, float64(d.Sigma(c.baseline)), float64(c.resolution)/math.Sqrt(6))
	}
}

// The bank's chart has the published run lengths (xcusum.arl of the R package
// spc 0.6.7; Montgomery's table, from memory): whole chain from watts to warning.
func TestDriftRunLengths(t *testing.T) {
	for _, c := range []struct {
		name  string
		shift float64
		runs  int
		want  float64
	}{
		{"no shift", 0, 2000, 465.444},
		{"1 sigma less", -1, 5000, 10.376},
		{"1 sigma more", 1, 5000, 10.376},
		{"2 sigma less", -2, 5000, 4.009},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			d, random := ofHundred(), rand.New(rand.NewPCG(930, 465))
			sum, squares := 0.0, 0.0
			for range c.runs {
				b := BankRecord{Baseline: 100 * physic.Watt, Sessions: BaselineSessions, Counted: countMost}
				n := 0.0
				for warned := false; !warned; n++ {
					b.fold(d, 0, physic.Power((100+c.shift+random.NormFloat64())*float64(physic.Watt)))
					upper, lower := b.Cusum.Signals(d.Chart(b.Baseline))
					warned = upper || lower
				}
				sum, squares = sum+n, squares+n*n
			}
			mean := sum / float64(c.runs)
			assert.InDelta(t, c.want, mean, 3*math.Sqrt((squares/float64(c.runs)-mean*mean)/float64(c.runs)))
		})
	}
}

func TestDriftOfASteadyShift(t *testing.T) {
	d, r := ofHundred(), Record{}
	for range BaselineSessions {
		assert.False(t, r.Drift(d, 0).Known)
		ended(&r, d, 100)
	}
	assert.False(t, r.Drift(d, 0).Known, "nothing after the baseline yet")
	r.Banks[0].Counted = countMost // as firm as a baseline gets
	// 2 sigma less adds 1.5 to the sum: 1.5, 3, 4.5, 6, and 5 is exceeded.
	for n := 1; n <= 3; n++ {
		ended(&r, d, 98)
		level := 100*physic.Watt - physic.Power(n)*2*physic.Watt/5 // the mean of the last five
		assert.Equal(t, Drift{Known: true, Baseline: 100 * physic.Watt, Limit: 70 * physic.Watt, Level: level}, r.Drift(d, 0))
	}
	ended(&r, d, 98)
	got := r.Drift(d, 0)
	assert.True(t, got.Warn)
	assert.Equal(t, 4, got.Sessions)
	assert.Equal(t, -2*physic.Watt, got.Shift)
	assert.False(t, got.Foreseen, "a jump leads nowhere")
	// The chart's own estimate, the allowance and the sum's mean growth, agrees.
	assert.InDelta(t, float64(got.Shift), float64(r.Banks[0].Cusum.Shift(d.Chart(100*physic.Watt))), 1e6)
	assert.Equal(t, "bank 1 has drifted: in the sessions since, 4 so far, it took 2 W less than its baseline of 100 W on average", got.Sentence(0))
}

func TestDriftUpwards(t *testing.T) {
	d, r := ofHundred(), Record{}
	for i := range BaselineSessions + 12 {
		if i == BaselineSessions {
			r.Banks[0].Counted = countMost
		}
		ended(&r, d, 100+max(float64(i-BaselineSessions+1), 0))
	}
	got := r.Drift(d, 0)
	assert.True(t, got.Warn)
	assert.Equal(t, 12, got.Sessions)
	assert.Equal(t, 6500*physic.MilliWatt, got.Shift, "the mean of 1 to 12 W")
	assert.False(t, got.Foreseen, "it moves away from the limit")
	assert.Contains(t, got.Sentence(0), "it took 6.5 W more than its baseline of 100 W")
}

// Without noise the course is exact.
func TestDriftOfACleanSlope(t *testing.T) {
	d, r := ofHundred(), Record{}
	for i := range BaselineSessions + 18 {
		ended(&r, d, 100-max(float64(i-BaselineSessions-2), 0)) // 18 sessions, the last 15 of them falling
	}
	got := r.Drift(d, 0)
	require.True(t, got.Foreseen)
	assert.InDelta(t, -float64(physic.Watt), float64(got.PerSession), 1e4)
	assert.InDelta(t, 85*float64(physic.Watt), float64(got.Level), 1e5)
	assert.InDelta(t, 15, got.SessionsLeft, 1, "15 W over the limit")
	assert.LessOrEqual(t, got.Least, got.SessionsLeft)
	assert.GreaterOrEqual(t, got.Most, got.SessionsLeft)
	assert.Contains(t, got.Sentence(0), "; it loses 1 W a session and reaches its limit of 70 W in about")
}

// An odd session is no drift, two in a row are; and watts that a trip deals with
// do not count at all.
func TestDriftOfOutliers(t *testing.T) {
	d, r := ofHundred(), Record{}
	for range BaselineSessions {
		ended(&r, d, 100)
	}
	r.Banks[0].Counted = countMost // as firm as a baseline gets
	ended(&r, d, 75)
	assert.False(t, r.Drift(d, 0).Warn, "one odd session")
	one := r
	ended(&one, d, 75)
	assert.True(t, one.Drift(d, 0).Warn, "two of them")
	for _, fault := range []float64{69.9, 40, 0, -5, 130.1, 200} {
		same := r
		ended(&same, d, fault)
		assert.Equal(t, r.Banks, same.Banks, "%g W", fault)
	}
	for range 7 {
		ended(&r, d, 100)
	}
	assert.Zero(t, r.Banks[0].Cusum, "forgotten after 3.5 / 0.5 sessions")
}

// drifting makes a bank fall by a rate of its baseline a session after a session,
// with a noise of 1 %, until it is at 70 %. It calls each with the true number of
// sessions left after each session.
func drifting(random *rand.Rand, d *DriftDesign, rate float64, after int, each func(session int, left float64, got Drift)) {
	var r Record
	for i := 0; ; i++ {
		level := 100 - 100*rate*max(float64(i-after), 0)
		ended(&r, d, level+random.NormFloat64())
		got := r.Drift(d, 0)
		left := (level - 70) / (100 * rate)
		if got.Known {
			left = (level - float64(got.Limit)/float64(physic.Watt)) / (100 * rate)
		}
		if left <= 0 {
			return
		}
		each(i, left, got)
	}
}

// A falling bank is warned of before it trips, always. How many sessions are
// left is not said at once, but once it is said it is right within a factor of
// 2 (and a session) in about 95 % of the cases, and later in nearly all.
func TestDriftWarnsInTime(t *testing.T) {
	const runs = 1000
	for _, c := range []struct {
		rate                float64
		delay               int     // most sessions from the warning to a forecast, in the mean
		warnLeft, firstLeft float64 // least share of the life that is left at both, in the mean
	}{
		{0.003, 8, 0.90, 0.80}, {0.005, 6, 0.85, 0.78}, {0.01, 4, 0.8, 0.75}, {0.02, 2, 0.75, 0.7},
	} {
		d, random := ofHundred(), rand.New(rand.NewPCG(70, uint64(1000*c.rate)))
		first, firstGood, later, laterGood, tenth, tenthSaid := 0, 0, 0, 0, 0, 0
		warnLeft, firstLeft, delays := 0.0, 0.0, 0
		for range runs {
			after := BaselineSessions + random.IntN(30)
			warned, said := -1, false
			drifting(random, d, c.rate, after, func(session int, left float64, got Drift) {
				if !got.Warn || session <= after {
					return
				}
				life := left * c.rate / 0.3
				if warned < 0 {
					warned = session
					warnLeft += life
				}
				if session == warned+10 {
					tenth++
					if got.Foreseen {
						tenthSaid++
					}
				}
				if !got.Foreseen {
					return
				}
				guess := float64(got.SessionsLeft)
				good := guess >= left/2-1 && guess <= left*2+1
				if !said {
					said = true
					first++
					firstLeft += life
					delays += session - warned
					if good {
						firstGood++
					}
				}
				if session >= warned+10 {
					later++
					if good {
						laterGood++
					}
				}
			})
			require.GreaterOrEqual(t, warned, 0, "a bank that lost %g a session tripped without a warning", c.rate)
		}
		t.Logf("rate %g: %.3f of the life left at the warning, forecast in %.3f of the runs, %.1f sessions later with %.3f left, within a factor of 2 in %.3f; said 10 sessions later in %.3f of the runs, from then on right in %.4f",
			c.rate, warnLeft/runs, float64(first)/runs, float64(delays)/float64(first), firstLeft/float64(first), float64(firstGood)/float64(first),
			float64(tenthSaid)/float64(tenth), float64(laterGood)/float64(later))
		assert.Greater(t, float64(warnLeft/runs), c.warnLeft, "%g", c.rate)
		assert.Greater(t, float64(first)/runs, 0.99, "%g", c.rate)
		assert.Less(t, float64(delays)/float64(first), float64(c.delay), "%g", c.rate)
		assert.Greater(t, firstLeft/float64(first), c.firstLeft, "%g", c.rate)
		assert.Greater(t, float64(firstGood)/float64(first), 0.94, "%g", c.rate)
		assert.Greater(t, float64(laterGood)/float64(later), 0.99, "%g", c.rate)
	}
}

// A bank that jumps once and stays is warned of, and is rarely taken for one
// that goes on falling.
func TestDriftRarelyForeseesAJump(t *testing.T) {
	d, random := ofHundred(), rand.New(rand.NewPCG(3, 3))
	const runs = 300
	ever, at20 := 0, 0
	for range runs {
		var r Record
		said := false
		for i := range BaselineSessions + 40 {
			level := 100.0
			if i >= BaselineSessions+20 {
				level = 98
			}
			ended(&r, d, level+random.NormFloat64())
			said = said || r.Drift(d, 0).Foreseen
		}
		if said {
			ever++
		}
		if r.Drift(d, 0).Foreseen {
			at20++
		}
	}
	t.Logf("foreseen ever %d, after 20 sessions %d of %d", ever, at20, runs)
	assert.Less(t, at20, runs/20)
	assert.Less(t, ever, runs*35/100)
}

// What a false warning costs: the mean of 5 sessions is itself uncertain by 0.45
// sigma, so that warnings come more often than the published run length says.
// docs/drift.md gives these figures.
func TestDriftFalseWarnings(t *testing.T) {
	d, random := ofHundred(), rand.New(rand.NewPCG(5, 100))
	const runs = 1500
	var within [3]int
	foreseen := 0
	for range runs {
		var r Record
		first, said := 0, false
		for i := 1; i <= 200+BaselineSessions; i++ {
			ended(&r, d, 100+random.NormFloat64())
			if got := r.Drift(d, 0); got.Warn {
				said = said || got.Foreseen
				if first == 0 {
					first = i - BaselineSessions
				}
			}
		}
		for k, n := range [...]int{50, 100, 200} {
			if first > 0 && first <= n {
				within[k]++
			}
		}
		if said {
			foreseen++
		}
	}
	t.Logf("false warnings within 50, 100, 200 sessions: %v of %d, foreseen %d", within, runs, foreseen)
	assert.Less(t, float64(foreseen)/runs, 0.1, "nearly none of them says that a healthy bank is about to trip")
}

// Whatever is put in, the answer is possible.
func TestDriftProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := &DriftDesign{
			Resolution: physic.Power(rapid.Int64Range(0, 10e9).Draw(t, "resolution")),
			BankShort:  rapid.Int64Range(500, 950).Draw(t, "bank short"),
		}
		d.Draw[0] = physic.Power(rapid.Int64Range(0, 2e12).Draw(t, "draw"))
		base := rapid.Float64Range(1, 2000).Draw(t, "watts")
		var r Record
		for _, x := range rapid.SliceOfN(rapid.Float64Range(0.4, 1.6), 0, 60).Draw(t, "shares") {
			ended(&r, d, base*x)
			got := r.Drift(d, 0)
			require.Equal(t, got, r.Drift(d, 0), "the same record, the same answer")
			if !got.Known {
				require.Zero(t, got)
				continue
			}
			require.Positive(t, int64(got.Baseline))
			require.Positive(t, int64(got.Level))
			require.False(t, got.Foreseen && !got.Warn)
			if !got.Warn {
				require.Zero(t, got.Shift)
			}
			if !got.Foreseen {
				require.Zero(t, got.SessionsLeft+got.Least+got.Most+int(got.PerSession))
				continue
			}
			require.Negative(t, int64(got.PerSession))
			require.True(t, 0 <= got.Least && got.Least <= got.SessionsLeft && got.SessionsLeft <= got.Most && got.Most <= SessionsLeftMost,
				"%d to %d, %d", got.Least, got.Most, got.SessionsLeft)
		}
	})
}

func BenchmarkEndSession(b *testing.B) {
	b.ReportAllocs()
	d, random := ofHundred(), rand.New(rand.NewPCG(1, 1))
	s := SessionResult{Measured: hal.FirstBanks(6)}
	for i := range 6 {
		s.Watts[i] = physic.Power((100 + random.NormFloat64()) * float64(physic.Watt))
	}
	var r Record
	for range b.N {
		r.EndSession(d, &s)
	}
}

func BenchmarkDrift(b *testing.B) {
	b.ReportAllocs()
	d, r := ofHundred(), Record{}
	for i := range BaselineSessions + RecentSessions {
		ended(&r, d, 100-max(float64(i-BaselineSessions)*0.5, 0))
	}
	require.True(b, r.Drift(d, 0).Foreseen)
	for range b.N {
		r.Drift(d, 0)
	}
}
