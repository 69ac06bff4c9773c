package report

import (
	"math"
	"time"
)

// trackBuckets bounds a Track; at least half of them are in use once it has
// been full, so a curve keeps 1024 to 2048 steps over any length of time.
const trackBuckets = 2048

// trackWidth is the time one bucket covers at first: one usual tick.
const trackWidth = 100 * time.Millisecond

// A Track is a time series in bounded memory. Each bucket of time keeps the
// first, last, least and greatest reading in it, so a spike of a single sample
// is never lost; when the buckets run out, neighbours are merged in pairs and
// each covers twice the time. Where there was no reading the track has a gap,
// and a gap survives merging too.
//
// Make one with NewTrack. A Track is not safe for use by two goroutines.
type Track struct {
	buckets []bucket
	used    int // buckets from 0 to used-1 have been reached
	width   time.Duration
	origin  time.Duration
	start   time.Duration // of the bucket written last
	latest  time.Duration
	begun   bool
	total   extremes
}

// extremes are exact over all readings, whatever was merged.
type extremes struct {
	count          int64
	gaps           int64
	min, max, last float64
	minAt, maxAt   time.Duration
	lastAt         time.Duration
}

// NewTrack returns an empty track. It makes the only allocation that the track
// ever needs, about 130 kB.
func NewTrack() *Track {
	return &Track{buckets: make([]bucket, trackBuckets), width: trackWidth}
}

// Add takes the reading at one instant. A value that is not a finite number is
// no reading: it leaves a gap. A time before the latest one counts as the
// latest one, and a negative time as 0.
func (k *Track) Add(at time.Duration, value float64) {
	at = max(at, k.latest)
	k.latest = at
	if !k.begun {
		k.begun, k.origin, k.start, k.used = true, at, at, 1
	}
	if at-k.start >= k.width {
		k.advance(at)
	}
	b := &k.buckets[k.used-1]
	if value-value != 0 { // NaN and the infinities
		b.addGap()
		k.total.gaps++
		return
	}
	b.add(at, value)
	k.total.add(at, value)
}

// Gap says that there was no reading at this instant.
func (k *Track) Gap(at time.Duration) { k.Add(at, math.NaN()) }

// advance moves to the bucket that holds at, merging as often as it takes.
func (k *Track) advance(at time.Duration) {
	i := (at - k.origin) / k.width
	for i >= trackBuckets {
		k.halve()
		i = (at - k.origin) / k.width
	}
	k.used = int(i) + 1
	k.start = k.origin + i*k.width
}

// halve merges neighbouring buckets in pairs. The far half becomes empty; the
// caller says anew how many are in use.
func (k *Track) halve() {
	for i := range trackBuckets / 2 {
		k.buckets[i] = merged(k.buckets[2*i], k.buckets[2*i+1])
	}
	clear(k.buckets[trackBuckets/2:])
	k.width *= 2
}

func (e *extremes) add(at time.Duration, value float64) {
	if e.count == 0 || value < e.min {
		e.min, e.minAt = value, at
	}
	if e.count == 0 || value > e.max {
		e.max, e.maxAt = value, at
	}
	e.last, e.lastAt = value, at
	e.count++
}

// big is the greatest size of a reading, either way from 0.
func (e *extremes) big() float64 { return max(e.max, -e.min) }

// Readings is how many readings were taken, gaps not counted.
func (k *Track) Readings() int64 { return k.total.count }

// Gaps is how many samples had no reading.
func (k *Track) Gaps() int64 { return k.total.gaps }

// Min is the least of all readings and the first time it was seen; ok is false
// when there was no reading at all.
func (k *Track) Min() (value float64, at time.Duration, ok bool) {
	return k.total.min, k.total.minAt, k.total.count > 0
}

// Max is the greatest of all readings and the first time it was seen; ok is
// false when there was no reading at all.
func (k *Track) Max() (value float64, at time.Duration, ok bool) {
	return k.total.max, k.total.maxAt, k.total.count > 0
}

// Last is the newest reading and its time; ok is false when there was none.
func (k *Track) Last() (value float64, at time.Duration, ok bool) {
	return k.total.last, k.total.lastAt, k.total.count > 0
}

// Resolution is the time that one step of the track covers now.
func (k *Track) Resolution() time.Duration { return k.width }

// Span is the time from the first sample to the latest one, gaps included; ok
// is false when nothing was added.
func (k *Track) Span() (from, to time.Duration, ok bool) {
	return k.origin, k.latest, k.begun
}
