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

// The whole chain from watts to warning has the published run lengths (xcusum.arl
// of the R package spc 0.6.7; Montgomery's table, from memory). Without a shift
// it has them from the fifth session on: that the baseline is made of so few
// sessions must not cause warnings. A shift is found as fast as published once
// the baseline is firm.
func TestDriftRunLengths(t *testing.T) {
	for _, c := range []struct {
		name   string
		before int
		shift  float64
		runs   int
		want   float64
	}{
		{"no shift, new baseline", BaselineSessions, 0, 4000, 465.444},
		{"no shift, firm baseline", 200, 0, 2000, 465.444},
		{"1 sigma less", 2000, -1, 2000, 10.376},
		{"1 sigma more", 2000, 1, 2000, 10.376},
		{"2 sigma less", 2000, -2, 2000, 4.009},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			d, random := ofHundred(), rand.New(rand.NewPCG(930, 465))
			sum, squares := 0.0, 0.0
			for range c.runs {
				var b BankRecord
				session := func(shift float64) bool {
					b.fold(d, 0, physic.Power((100+shift+random.NormFloat64())*float64(physic.Watt)))
					upper, lower := b.Cusum.Signals(d.Chart(b.Baseline))
					return upper || lower
				}
				for range c.before {
					session(0)
					// A run begins with the sums at 0; the baseline is as it is.
					b.Cusum = Cusum{}
				}
				n := 1.0
				for ; n < 1e5 && !session(c.shift); n++ {
				}
				sum, squares = sum+n, squares+n*n
			}
			mean := sum / float64(c.runs)
			standardError := math.Sqrt((squares/float64(c.runs) - mean*mean) / float64(c.runs))
			t.Logf("%.3f, published %.3f, standard error %.3f", mean, c.want, standardError)
			assert.InDelta(t, c.want, mean, 3*standardError)
		})
	}
}

// firm is a record whose baseline for bank 1 is 100 W from so many sessions that
// a few more hardly move it.
func firm(d *DriftDesign) (r Record) {
	for range 1000 {
		ended(&r, d, 100)
	}
	return r
}

const hundredth = float64(physic.Watt) / 100

func TestBaselineGrowsFirm(t *testing.T) {
	d, r := ofHundred(), Record{}
	for i, watts := range []float64{98, 102, 101, 99} {
		ended(&r, d, watts)
		assert.Equal(t, Drift{}, r.Drift(d, 0), "%d sessions", i+1)
		assert.Zero(t, r.Banks[0].Baseline)
	}
	ended(&r, d, 101)
	assert.Equal(t, 100200*physic.MilliWatt, r.Banks[0].Baseline)
	assert.Equal(t, Drift{}, r.Drift(d, 0), "nothing after the baseline yet")
	ended(&r, d, 99)
	assert.Equal(t, 100*physic.Watt, r.Banks[0].Baseline, "the mean of six")
	assert.Equal(t, Drift{Known: true, Baseline: 100 * physic.Watt, Level: 100400 * physic.MilliWatt, Limit: 70 * physic.Watt}, r.Drift(d, 0))
	// The sixth was 1.2 W under the mean of five, which is 1.2 root(5/6) sigmas.
	assert.InDelta(t, (1.2*math.Sqrt(5.0/6)-0.501)*float64(physic.Watt), float64(r.Banks[0].Cusum.Lower), 1)
}

func TestDriftOfASteadyShift(t *testing.T) {
	d := ofHundred()
	r := firm(d)
	// 2 sigma less adds 1.5 to the sum: 1.5, 3, 4.5, 6, and 5 is exceeded.
	for i := range 3 {
		ended(&r, d, 98)
		got := r.Drift(d, 0)
		assert.True(t, got.Known)
		assert.False(t, got.Warn, "after %d sessions", i+1)
		assert.Zero(t, got.Shift)
	}
	ended(&r, d, 98)
	got := r.Drift(d, 0)
	assert.True(t, got.Warn)
	assert.Equal(t, 4, got.Sessions)
	assert.InDelta(t, -2*float64(physic.Watt), float64(got.Shift), hundredth)
	assert.False(t, got.Foreseen, "a jump leads nowhere")
	// The chart's own estimate, the allowance and the sum's mean growth, agrees.
	assert.InDelta(t, float64(got.Shift), float64(r.Banks[0].Cusum.Shift(d.Chart(got.Baseline))), hundredth)
	assert.Equal(t, "bank 1 has drifted: in the sessions since, 4 so far, it took 2 W less than its baseline of 100 W on average", got.Sentence(0))
}

// Once there is a warning the baseline stays: what has drifted is none.
func TestDriftLeavesTheBaseline(t *testing.T) {
	d := ofHundred()
	r := firm(d)
	for range 4 {
		ended(&r, d, 98)
	}
	require.True(t, r.Drift(d, 0).Warn)
	baseline := r.Banks[0].Baseline
	for range 200 {
		ended(&r, d, 98)
	}
	assert.Equal(t, 204, r.Drift(d, 0).Sessions)
	assert.Equal(t, baseline, r.Banks[0].Baseline)
	assert.Equal(t, 98*physic.Watt, r.Drift(d, 0).Level)
	for range 700 { // the sum falls by half a sigma a session
		ended(&r, d, 100)
	}
	assert.False(t, r.Drift(d, 0).Warn, "it has come back by itself")
}

func TestDriftUpwards(t *testing.T) {
	d := ofHundred()
	r := firm(d)
	for i := range 12 {
		ended(&r, d, 101+float64(i))
	}
	got := r.Drift(d, 0)
	assert.True(t, got.Warn)
	assert.Equal(t, 12, got.Sessions)
	assert.InDelta(t, 6.5*float64(physic.Watt), float64(got.Shift), hundredth, "the mean of 1 to 12 W")
	assert.False(t, got.Foreseen, "it moves away from the limit")
	assert.Contains(t, got.Sentence(0), "it took 6.5 W more than its baseline of 100 W")
	for i := range RecentSessions { // back down, but never under the baseline
		ended(&r, d, 112-float64(i)/2)
	}
	assert.True(t, r.Drift(d, 0).Warn)
	assert.False(t, r.Drift(d, 0).Foreseen)
}

// Without noise the course is exact.
func TestDriftOfACleanSlope(t *testing.T) {
	d := ofHundred()
	r := firm(d)
	for i := range 15 {
		ended(&r, d, 99-float64(i))
	}
	got := r.Drift(d, 0)
	require.True(t, got.Foreseen)
	assert.InDelta(t, -float64(physic.Watt), float64(got.PerSession), hundredth)
	assert.InDelta(t, 85*float64(physic.Watt), float64(got.Level), hundredth)
	assert.InDelta(t, 15, got.SessionsLeft, 1, "15 W over the limit")
	assert.LessOrEqual(t, got.Least, got.SessionsLeft)
	assert.GreaterOrEqual(t, got.Most, got.SessionsLeft)
	assert.Contains(t, got.Sentence(0), "; it loses 1 W a session and reaches its limit of 70 W in about 15 sessions (")
}

func TestForecastIsCapped(t *testing.T) {
	d := ofHundred()
	d.BankShort = -9000 // no machine file allows it: the limit is 1000 W away
	r := firm(d)
	for i := range RecentSessions {
		ended(&r, d, 100-float64(i)/2)
	}
	got := r.Drift(d, 0)
	require.True(t, got.Foreseen)
	assert.Equal(t, [3]int{SessionsLeftMost, SessionsLeftMost, SessionsLeftMost}, [3]int{got.Least, got.SessionsLeft, got.Most})
}

// A course is only told where a bank that has stayed as it was explains the
// sessions much worse, and where it is known to a factor of 2.
func TestCourseIsNeverHasty(t *testing.T) {
	assert.False(t, courseOf([]float64{0, 3}, 30).known, "two sessions that differ by two standard deviations")
	assert.True(t, courseOf([]float64{0, 8}, 30).known, "by more than five, and they lie on a line")
	early := courseOf([]float64{0.83, 0.48, -0.12, -0.22, 1.04, -0.02, 1.72, 2.83, 1.74, 4.21, 5.14, 7.69}, 29.6)
	assert.False(t, early.known, "%.1f sessions, but perhaps as few as %.1f", early.left, early.least)
	rapid.Check(t, func(t *rapid.T) {
		slope := rapid.Float64Range(-1, 1).Draw(t, "slope")
		levels := rapid.SliceOfN(rapid.Float64Range(-2, 2), 1, RecentSessions).Draw(t, "levels")
		mean, sse := 0.0, 0.0
		for i := range levels {
			levels[i] += slope * float64(i)
			mean += levels[i] / float64(len(levels))
		}
		for _, y := range levels {
			sse += (y - mean) * (y - mean)
		}
		c := courseOf(levels, 30)
		if !c.known {
			return
		}
		require.Greater(t, c.slope, 0.0)
		require.Greater(t, sse, within)
		require.LessOrEqual(t, c.most, 2*c.left+1)
		require.GreaterOrEqual(t, c.least, c.left/2-1)
	})
}

// Least squares against a fit by hand: levels 0, 0, 1, 2 turn after the second,
// and the line through all of them is -1 + 0.7 i (its residuals 0.3, -0.4, -0.1,
// 0.2 add up to 0 and are square to i).
func TestFits(t *testing.T) {
	levels := []float64{0, 0, 1, 2}
	f := fitBend(levels, 2)
	assert.InDelta(t, 0, f.before, 1e-12)
	assert.InDelta(t, 1, f.slope, 1e-12)
	assert.InDelta(t, 0, f.sse, 1e-12)
	f = fitBend(levels, 0)
	assert.InDelta(t, -1, f.before, 1e-12)
	assert.InDelta(t, 0.7, f.slope, 1e-12)
	assert.InDelta(t, 0.3, f.sse, 1e-12)
	assert.InDelta(t, 1/5.0, f.variance, 1e-12, "one over the squares of i about its mean")
	assert.InDelta(t, (10-1.8)/0.7, f.left(f.slope, 10, 4), 1e-12)
	assert.InDelta(t, 0.5, fitJump(levels, 2), 1e-12, "0, 0 and 1.5, 1.5")
	assert.InDelta(t, 0, fitJump([]float64{1, 5, 5}, 1), 1e-12)
	assert.InDelta(t, 2.75, fitJump(levels, 0), 1e-12, "0.75 all along")
}

// An odd session is no drift, two in a row are; and watts that a trip deals with
// do not count at all.
func TestDriftOfOutliers(t *testing.T) {
	d := ofHundred()
	r := firm(d)
	ended(&r, d, 75)
	assert.False(t, r.Drift(d, 0).Warn, "one odd session")
	one := r
	ended(&one, d, 75)
	assert.True(t, one.Drift(d, 0).Warn, "two of them")
	for _, fault := range []float64{69.5, 40, 0, -5, 130.5, 200} {
		same := r
		ended(&same, d, fault)
		assert.Equal(t, r.Banks, same.Banks, "%g W", fault)
	}
	for range 8 {
		ended(&r, d, 100)
	}
	assert.Zero(t, r.Banks[0].Cusum, "forgotten after 3.5 / 0.5 sessions and one for rounding")
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
// 2 (and a session) in 95 % of the cases, and later in nearly all.
func TestDriftWarnsInTime(t *testing.T) {
	const runs = 1000
	for _, c := range []struct {
		rate                float64
		delay               int     // most sessions from the warning to a forecast, in the mean
		warnLeft, firstLeft float64 // least share of the life that is left at both, in the mean
	}{
		{0.003, 7, 0.91, 0.85}, {0.005, 5, 0.89, 0.82}, {0.01, 3, 0.86, 0.78}, {0.02, 2, 0.81, 0.73},
	} {
		d, random := ofHundred(), rand.New(rand.NewPCG(70, uint64(1000*c.rate)))
		first, firstGood, inside, later, laterGood, tenth, tenthSaid := 0, 0, 0, 0, 0, 0, 0
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
					if float64(got.Least) <= left && left <= float64(got.Most+1) {
						inside++
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
		t.Logf("rate %g: %.3f of the life left at the warning, forecast in %.3f of the runs, %.1f sessions later with %.3f left, within a factor of 2 in %.3f, within least and most in %.3f; said 10 sessions later in %.3f of the runs, from then on right in %.4f",
			c.rate, warnLeft/runs, float64(first)/runs, float64(delays)/float64(first), firstLeft/float64(first), float64(firstGood)/float64(first), float64(inside)/float64(first),
			float64(tenthSaid)/float64(tenth), float64(laterGood)/float64(later))
		assert.Greater(t, float64(warnLeft/runs), c.warnLeft, "%g", c.rate)
		assert.Greater(t, float64(first)/runs, 0.99, "%g", c.rate)
		assert.Less(t, float64(delays)/float64(first), float64(c.delay), "%g", c.rate)
		assert.Greater(t, firstLeft/float64(first), c.firstLeft, "%g", c.rate)
		assert.Greater(t, float64(firstGood)/float64(first), 0.95, "%g", c.rate)
		assert.Greater(t, float64(inside)/float64(first), 0.90, "%g", c.rate)
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

// A healthy bank is warned of as seldom as a run length of 465 sessions says,
// which in 200 sessions is 1 - exp(-200/465) = 0.35 of the banks, and hardly ever
// are its sessions until the limit told.
func TestDriftFalseWarnings(t *testing.T) {
	d, random := ofHundred(), rand.New(rand.NewPCG(5, 100))
	const runs = 1500
	warned, foreseen := 0, 0
	for range runs {
		var r Record
		warn, said := false, false
		for range BaselineSessions + 200 {
			ended(&r, d, 100+random.NormFloat64())
			got := r.Drift(d, 0)
			warn, said = warn || got.Warn, said || got.Foreseen
		}
		if warn {
			warned++
		}
		if said {
			foreseen++
		}
	}
	t.Logf("of %d healthy banks %d were warned of in 200 sessions, and %d given a forecast", runs, warned, foreseen)
	assert.InDelta(t, 0.35, float64(warned)/runs, 0.04)
	assert.Less(t, float64(foreseen)/runs, 0.005)
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
