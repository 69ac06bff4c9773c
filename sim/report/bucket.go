package report

import "time"

// A bucket is what is kept of the samples in one stretch of time. Missing
// readings are kept by where they stood: before the first reading, between two,
// or after the last. A bucket without readings has its gap in lead.
type bucket struct {
	first, last, min, max float64
	firstAt, lastAt       time.Duration
	count                 int32
	lead, mid, trail      bool
}

func (b *bucket) add(at time.Duration, value float64) {
	if b.count == 0 {
		lead := b.lead
		*b = bucket{first: value, last: value, min: value, max: value,
			firstAt: at, lastAt: at, count: 1, lead: lead}
		return
	}
	b.min, b.max = min(b.min, value), max(b.max, value)
	b.last, b.lastAt = value, at
	b.mid = b.mid || b.trail
	b.trail = false
	b.count = 2 // more than one; the exact number is the track's
}

func (b *bucket) addGap() {
	if b.count == 0 {
		b.lead = true
	} else {
		b.trail = true
	}
}

// empty is true where no sample fell, not even a missing reading. A curve runs
// straight across such a bucket: the source is merely slower than the bucket.
func (b *bucket) empty() bool { return b.count == 0 && !b.lead }

func (b *bucket) gap() bool { return b.lead || b.mid || b.trail }

// merged is one bucket for two neighbours, a before b.
func merged(a, b bucket) bucket {
	switch {
	case a.count == 0:
		b.lead = b.lead || a.lead
		return b
	case b.count == 0:
		a.trail = a.trail || b.lead
		return a
	}
	return bucket{
		first: a.first, firstAt: a.firstAt,
		last: b.last, lastAt: b.lastAt,
		min: min(a.min, b.min), max: max(a.max, b.max),
		count: 2,
		lead:  a.lead,
		mid:   a.mid || a.trail || b.lead || b.mid,
		trail: b.trail,
	}
}

// A stretch is a bucket with the time that it covers.
type stretch struct {
	bucket
	from, to time.Duration
}

// stretches calls yield with every bucket that holds a sample, in order.
func (k *Track) stretches(yield func(stretch) bool) {
	for i := range k.used {
		b := k.buckets[i]
		if b.empty() {
			continue
		}
		from := k.origin + time.Duration(i)*k.width
		to := from + min(k.width, max(k.latest-from, 0))
		if !yield(stretch{b, from, to}) {
			return
		}
	}
}
