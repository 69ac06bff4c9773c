package health

import "math"

// course is where a bank's watts are going, in sigmas of a session and counted
// downwards: level is how far they have fallen, slope by how much more in each
// session, left the sessions until the room is used up, with about 95 %
// confidence between least and most. Known is false where that is wider than a
// factor of 2 each way, or where a jump explains the sessions better than a
// slope does.
type course struct {
	level, slope, left, least, most float64
	known                           bool
}

// within is the growth of the squared residuals, in sigmas, up to which a course
// is held possible: the 97.5 % point of chi squared with one degree of freedom
// (5.024 in printed tables; from memory). It is not the 95 % point because the
// first session in which the courses agree is one in which they agree by luck
// more often than any other.
const within = 5.024

// courseOf fits all slopes that begin before or after one of the sessions, and
// holds against them all jumps.
func courseOf(fallen []float64, room float64) course {
	var fits [RecentSessions]bend
	n, best, jump := 0, bend{sse: math.Inf(1)}, math.Inf(1)
	for after := 0; after <= len(fallen)-2; after++ {
		f := fitBend(fallen, after)
		if !f.ok {
			continue
		}
		if fits[n] = f; f.sse < best.sse {
			best = f
		}
		n++
	}
	for after := range fallen {
		jump = min(jump, fitJump(fallen, after))
	}
	if !best.ok || !(best.slope > 0) || jump < best.sse {
		return course{}
	}
	now := float64(len(fallen))
	c := course{slope: best.slope, level: best.before + float64(best.slope*(now-best.after)), left: best.left(best.slope, room, now)}
	c.least, c.most = c.left, c.left
	for i := range n {
		f := &fits[i]
		worse := f.sse - best.sse
		if worse > within {
			continue
		}
		spread := math.Sqrt((within - worse) * f.variance)
		if f.slope <= spread {
			return course{} // it may as well not be falling
		}
		c.most = max(c.most, f.left(f.slope-spread, room, now))
		c.least = min(c.least, f.left(f.slope+spread, room, now))
	}
	c.left, c.least, c.most = max(c.left, 0), max(c.least, 0), max(c.most, 0)
	c.known = c.most <= float64(2*c.left)+1 && c.least >= float64(c.left/2)-1
	return c
}

// bend is a least-squares fit that turns after a session: the level before, and
// its growth in each session after.
type bend struct {
	after, before, slope float64
	weight, reach, sum   float64 // weight*before + reach*slope = sum
	variance, sse        float64
	ok                   bool
}

// fitBend fits levels that are constant at first and grow after a session.
func fitBend(levels []float64, after int) bend {
	n, h, hh, s, hs, ss := 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
	for i, y := range levels {
		at := float64(max(i+1-after, 0))
		n++
		h += at
		hh += float64(at * at)
		s += y
		hs += float64(at * y)
		ss += float64(y * y)
	}
	det := float64(n*hh) - float64(h*h)
	if !(det > 0) {
		return bend{}
	}
	f := bend{after: float64(after), weight: n, reach: h, sum: s, variance: n / det, ok: true}
	f.before = (float64(hh*s) - float64(h*hs)) / det
	f.slope = (float64(n*hs) - float64(h*s)) / det
	f.sse = ss - float64(f.before*s) - float64(f.slope*hs)
	return f
}

// left returns how many sessions there are until the room is used up, were the
// growth of each the given one.
func (f *bend) left(slope, room, now float64) float64 {
	before := (f.sum - float64(f.reach*slope)) / f.weight
	return (room-before)/slope - (now - f.after)
}

// fitJump returns the squared residuals of levels that are constant at first, and
// another constant after a session.
func fitJump(levels []float64, after int) float64 {
	n, s, m, u, ss := 0.0, 0.0, 0.0, 0.0, 0.0
	for i, y := range levels {
		ss += float64(y * y)
		if i < after {
			n++
			s += y
		} else {
			m++
			u += y
		}
	}
	if n > 0 {
		ss -= float64(s*s) / n
	}
	return ss - float64(u*u)/m
}
