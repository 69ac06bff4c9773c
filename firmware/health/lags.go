package health

import (
	"time"

	"bathtender/firmware/thermal"
)

// The heater's plate holds heat back: what it takes in reaches the bath with a
// lag, and how long that lag is depends on how much of the plate the liquid
// covers. It is not known beforehand, so a whole row of fits runs side by side,
// each with a lag of its own, and the data say which of them are credible.

// lags are the lags of the fits in seconds, each a third longer than the one
// before: a well covered plate has 8 to 20 s, a bare one minutes.
var lags = [...]float64{4, 5.3, 7.1, 9.5, 12.6, 16.8, 22.4, 29.8, 39.6, 52.7, 70, 93, 124, 165, 220, 290}

// firstBareLag is the first of the lags that only a plate with little liquid
// behind it can have.
const firstBareLag = 9

// backLoss is the part of its heat that a plate loses through its back, per
// second of lag: some 3 W/(m2 K) of foam against 6000 J/(m2 K) of pad and steel
// (common practice, no source).
const backLoss = 3.0 / 6000

// probeLag is that of a thermometer's steel cap in the bath, in seconds; what
// it is wrong by is made up for by the other lag.
const probeLag = 8.0

// lagged is the fit of one lag.
type lagged struct {
	plate, probe float64 // W that have come through plate, and through both
	joules       float64 // kJ that the probe has seen by now
	sums         sums
	fit          fit
}

// step lets a power in W flow for one tick.
func (f *lagged) step(power float64, r *rates, i int) {
	f.plate += float64((power - f.plate) * r.plate[i])
	f.probe += float64((f.plate - f.probe) * r.probe)
	f.joules += float64(f.probe * r.kilo[i])
}

// rates are what the lags come to in one tick. Ticks are as long as the one
// before nearly always, so they are kept.
type rates struct {
	elapsed     time.Duration
	plate, kilo [len(lags)]float64
	probe       float64
}

// of brings the rates up to date for a tick of another length.
func (r *rates) of(elapsed time.Duration) {
	if r.elapsed == elapsed {
		return
	}
	seconds := elapsed.Seconds()
	r.elapsed, r.probe = elapsed, seconds/(probeLag+seconds)
	for i, lag := range lags {
		r.plate[i] = seconds / (lag + seconds)
		r.kilo[i] = seconds / 1000 / (1 + float64(backLoss*lag))
	}
}

// blend is what the fits say together, each as loud as it is credible.
type blend struct {
	// rise is kelvins a kilojoule, spread its standard deviation.
	rise, spread float64
	// usual is how much of the belief lies with a covered plate that warms some
	// amount of liquid, bare with a bare plate that warms something, 0 to 1.
	// What is left lies with heat that does not arrive.
	usual, bare float64
	// best is the place of the most credible fit.
	best int
	ok   bool
}

// noise is that of a sample, in K: a digital thermometer's step and its own
// noise; two probes are averaged, but errors of neighbouring samples are alike,
// since a slow rise dwells on a step. effective is by how much fewer samples
// there are for that.
const (
	noise     = 0.03
	effective = 5.0
)

// together blends the fits. smallest is the rise of more liquid than the tank
// can hold.
func together(row *[len(lags)]lagged, smallest float64) blend {
	least, n, best := 0.0, 0.0, 0
	for i := range row {
		if f := &row[i].fit; f.ok && (n == 0 || f.sse < least) {
			least, n, best = f.sse, row[i].sums.n, i
		}
	}
	if n < 10 {
		return blend{}
	}
	// Residuals larger than the noise are the model's own error.
	variance := max(float64(noise*noise), least/(n-3))
	b := blend{best: best}
	total, square := 0.0, 0.0
	for i := range row {
		f := &row[i].fit
		if !f.ok {
			continue
		}
		// exp(-d/2) of the likelihood, as a power of two.
		const toTwo = 0.7213475204444817 // 1/(2 ln 2)
		weight := thermal.Exp2(-(f.sse - least) / float64(variance*effective) * toTwo)
		total += weight
		b.rise += float64(weight * f.a)
		own := float64(f.variance * float64(variance*effective))
		square += float64(weight * (float64(f.a*f.a) + own))
		switch sigma := sqrt(own); {
		case i < firstBareLag && f.a+float64(2.5*sigma) >= smallest:
			b.usual += weight
		case i >= firstBareLag && f.a > max(float64(3*sigma), smallest):
			b.bare += weight
		}
	}
	b.rise /= total
	b.bare /= total
	b.usual /= total
	b.spread = sqrt(max(square/total-float64(b.rise*b.rise), 0))
	b.ok = true
	return b
}
