package exact

import "math"

// tails returns P(X <= k) and P(X > k) of a binomial X: P(X > k) is the
// regularised incomplete beta function I_p(k+1, n-k) (Abramowitz and Stegun,
// 26.5.24, from memory). k is 0 to n-1 and p above 0 and below 1.
func tails(k, n int, p float64) (most, more float64) {
	a, b := float64(k+1), float64(n-k)
	if p < (a+1)/(a+b+2) {
		more = incomplete(a, b, p, 1-p)
		return 1 - more, more
	}
	// On this side the fraction converges fast for the other tail alone.
	most = incomplete(b, a, 1-p, p)
	return most, 1 - most
}

// incomplete returns I_x(a, b) with y = 1 - x, by the continued fraction of
// Abramowitz and Stegun, 26.5.8 (from memory), which converges within some times
// the root of the greater of a and b where x is below (a+1)/(a+b+2).
func incomplete(a, b, x, y float64) float64 {
	return math.Exp(logTerm(a, b, x, y)) * (b / (a + b)) * fraction(a, b, x)
}

// fraction returns the continued fraction by the method of Lentz as Thompson and
// Barnett changed it (J. Comput. Phys. 64, 1986): two ratios that each step takes
// on, and that are kept from 0.
func fraction(a, b, x float64) float64 {
	const tiny = 1e-300
	away := func(v float64) float64 {
		if math.Abs(v) < tiny {
			return tiny
		}
		return v
	}
	c, d := 1.0, 1/away(1-(a+b)*x/(a+1))
	value := d
	for m := 1.0; m < 1e6; m++ {
		even := m * (b - m) * x / ((a + 2*m - 1) * (a + 2*m))
		d = 1 / away(1+even*d)
		c = away(1 + even/c)
		value *= d * c
		odd := -(a + m) * (a + b + m) * x / ((a + 2*m) * (a + 2*m + 1))
		d = 1 / away(1+odd*d)
		c = away(1 + odd/c)
		value *= d * c
		if math.Abs(d*c-1) < 1e-15 {
			break
		}
	}
	return value
}

// logTerm returns the logarithm of the binomial term (a+b over a) x^a y^b. The
// plain sum of log-gammas would lose eight digits at ten million; what is left
// when Stirling's formula is taken out of it loses none (C. Loader, Fast and
// accurate computation of binomial probabilities, 2000, from memory).
func logTerm(a, b, x, y float64) float64 {
	n := a + b
	off := a - n*x // and b is as far from n*y, the other way
	return stirlingRest(n) - stirlingRest(a) - stirlingRest(b) -
		n*x*deviance(off/(n*x)) - n*y*deviance(-off/(n*y)) +
		math.Log(n/(2*math.Pi*a*b))/2
}

// deviance returns (1+u) log(1+u) - u for u of -1 or more.
func deviance(u float64) float64 {
	switch {
	case u <= -1:
		return 1
	case math.Abs(u) > 0.1:
		return (1+u)*math.Log1p(u) - u
	}
	// The two parts nearly cancel: u^2/2 - u^3/6 + u^4/12 - ...
	sum, power := 0.0, -u
	for k := 2.0; k < 20; k++ {
		power *= -u
		sum += power / (k * (k - 1))
	}
	return sum
}

// stirlingRest returns log(k!) less Stirling's formula, k log k - k + log(2 pi
// k)/2, for a whole k of 1 or more.
func stirlingRest(k float64) float64 {
	if k < 20 {
		factorial := 1.0
		for i := 2.0; i <= k; i++ {
			factorial *= i
		}
		return math.Log(factorial) - k*math.Log(k) + k - math.Log(2*math.Pi*k)/2
	}
	// Stirling's series; the next term is below 1e-13 from here.
	s := k * k
	return (1.0/12 - (1.0/360-(1.0/1260-(1.0/1680-1.0/1188/s)/s)/s)/s) / k
}
