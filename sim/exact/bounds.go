package exact

import "math"

// MaxTrials is the greatest number of trials that the bounds are made for.
const MaxTrials = 10_000_000

// UpperBound returns the one-sided upper confidence bound of a failure's
// probability: the one at which so few failures or fewer, of so many trials, have
// the probability 1 - confidence. It is 1 where all trials failed, and where there
// were none, as nothing is known then.
//
// Trials are 0 to MaxTrials, failures 0 to trials, and confidence is above 0 and
// below 1, as in 0.95. The result is NaN outside of that.
func UpperBound(failures, trials int, confidence float64) float64 {
	if !inDomain(failures, trials, confidence) {
		return math.NaN()
	}
	return high(failures, trials, 1-confidence)
}

// Interval returns the two-sided confidence interval of a failure's probability,
// with half of 1 - confidence left out at each end. It starts at 0 where nothing
// failed and ends at 1 where all did; without trials it is 0 to 1.
//
// The domain is that of UpperBound; outside of it both are NaN.
func Interval(failures, trials int, confidence float64) (lower, upper float64) {
	if !inDomain(failures, trials, confidence) {
		return math.NaN(), math.NaN()
	}
	outside := (1 - confidence) / 2
	return low(failures, trials, outside), high(failures, trials, outside)
}

func inDomain(failures, trials int, confidence float64) bool {
	return trials >= 0 && trials <= MaxTrials && failures >= 0 && failures <= trials &&
		confidence > 0 && confidence < 1
}

// high returns the probability p of a failure at which P(X <= failures) is alpha.
func high(failures, trials int, alpha float64) float64 {
	switch failures {
	case trials:
		return 1
	case 0: // (1-p)^trials = alpha
		return -math.Expm1(math.Log(alpha) / float64(trials))
	}
	return bisect(func(p float64) bool {
		most, _ := tails(failures, trials, p)
		return most > alpha
	})
}

// low returns the probability p of a failure at which P(X >= failures) is alpha.
func low(failures, trials int, alpha float64) float64 {
	switch failures {
	case 0:
		return 0
	case trials: // p^trials = alpha
		return math.Exp(math.Log(alpha) / float64(trials))
	}
	return bisect(func(p float64) bool {
		_, more := tails(failures-1, trials, p)
		return more < alpha
	})
}

// bisect returns where a condition that holds for small p ceases to, between 0
// and 1, to the last digit: at most some hundred halvings.
func bisect(below func(p float64) bool) float64 {
	from, to := 0.0, 1.0
	for {
		p := from + (to-from)/2
		if p <= from || p >= to {
			return p
		}
		if below(p) {
			from = p
		} else {
			to = p
		}
	}
}
