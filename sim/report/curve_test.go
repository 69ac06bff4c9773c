package report

import (
	"bytes"
	"image/png"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// One tick far from the rest, at full height in both pictures.
func TestSpikeOfOneTickIsDrawn(t *testing.T) {
	k := NewTrack()
	for at := time.Duration(0); at < 10*time.Hour; at += tick {
		v := 50.0
		if at == 5*time.Hour {
			v = 90
		}
		k.Add(at, v)
	}
	s := &Sheet{Panels: []Panel{{Title: "Temperature", Lines: []Line{{"bath", k}}}}}
	p := newPicture(s)
	n := p.panels[0]
	highest := n.bottom
	for _, path := range p.trace(n, k) {
		for _, pt := range path {
			highest = min(highest, pt.y)
		}
	}
	assert.InDelta(t, n.y(90), highest, 0.05)
	var b bytes.Buffer
	require.NoError(t, s.WritePNG(&b))
	img, err := png.Decode(&b)
	require.NoError(t, err)
	// Some dot at the middle of the spike's height is of the curve's colour.
	found := false
	y, x := int((n.y(90)+n.y(50))/2), int(p.x(5*time.Hour))
	for dx := -2; dx <= 2; dx++ {
		r, _, bl, _ := img.At(x+dx, y).RGBA()
		found = found || (r>>8 < 0x80 && bl>>8 > 0x80)
	}
	assert.True(t, found, "no dot of the curve at %d, %d", x, y)
}

// The drawn curve against the samples themselves: in every pixel column it
// reaches as far as they do, to the columns beside it no farther, and it has one
// break for each gap, wherever the gap falls among buckets and columns.
func TestCurveFollowsItsSamples(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
		k := NewTrack()
		s := &Sheet{Panels: []Panel{{Lines: []Line{{"bath", k}}}}, End: sessionEnd}
		p := newPicture(s) // the sides depend on the names only
		type reach struct{ low, high float64 }
		columns := map[int]reach{}
		put := func(m map[int]reach, c int, v float64) {
			r, ok := m[c]
			if !ok {
				r = reach{v, v}
			}
			m[c] = reach{min(r.low, v), max(r.high, v)}
		}
		gaps, next, until := 0, 100*time.Second, time.Duration(0)
		k.Add(0, 100)
		put(columns, int(p.x(0)), 100)
		for at := tick; at <= sessionEnd; at += tick {
			if at >= next && at < sessionEnd-200*time.Second {
				gaps++
				until = at + tick*time.Duration(1+random.IntN(40))
				next = until + 60*time.Second + tick*time.Duration(random.IntN(600))
			}
			if at < until {
				k.Gap(at)
				continue
			}
			v := float64(random.IntN(40)) + 60*float64(int(at/(3*time.Minute))%2)
			k.Add(at, v)
			put(columns, int(p.x(at)), v)
		}
		p = newPicture(s)
		n := p.panels[0]
		n.scale = scale{0, 100, 20}
		paths := p.trace(n, k)
		require.Len(t, paths, gaps+1)
		drawn := map[int]reach{}
		for _, path := range paths {
			for _, pt := range path {
				put(drawn, int(pt.x), (n.bottom-pt.y)/(n.bottom-n.top)*100)
			}
		}
		around := func(m map[int]reach, c int) (r reach) {
			r = reach{1e9, -1e9}
			for i := c - 2; i <= c+2; i++ {
				if q, ok := m[i]; ok {
					r = reach{min(r.low, q.low), max(r.high, q.high)}
				}
			}
			return r
		}
		for c, want := range columns {
			got := around(drawn, c)
			require.True(t, got.low <= want.low+1e-6 && got.high >= want.high-1e-6, "column %d: drawn %v, samples %v", c, got, want)
		}
		for c, got := range drawn {
			want := around(columns, c)
			require.True(t, got.low >= want.low-1e-6 && got.high <= want.high+1e-6, "column %d: drawn %v, samples %v", c, got, want)
		}
	})
}

func TestGapBreaksTheLine(t *testing.T) {
	trace := func(gap time.Duration) int {
		k := NewTrack()
		for at := time.Duration(0); at < time.Hour; at += tick {
			if at > 20*time.Minute && at < 20*time.Minute+gap {
				k.Gap(at)
			} else {
				k.Add(at, 1)
			}
		}
		s := &Sheet{Panels: []Panel{{Lines: []Line{{"bath", k}}}}}
		p := newPicture(s)
		return len(p.trace(p.panels[0], k))
	}
	assert.Equal(t, 1, trace(0))
	assert.Equal(t, 2, trace(3*tick), "within one bucket")
	assert.Equal(t, 2, trace(9*time.Minute), "over many")
}
