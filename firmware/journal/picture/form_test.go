package picture

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"gonum.org/v1/plot/font/liberation"
	"pgregory.net/rapid"

	"bathtender/hal/trace"
)

// luminance is the relative luminance of WCAG 2.1.
func luminance(t *testing.T, colour string) float64 {
	var c [3]int
	_, err := fmt.Sscanf(colour, "#%02x%02x%02x", &c[0], &c[1], &c[2])
	require.NoError(t, err)
	sum := 0.0
	for i, share := range []float64{0.2126, 0.7152, 0.0722} {
		v := float64(c[i]) / 255
		if v <= 0.03928 {
			v /= 12.92
		} else {
			v = math.Pow((v+0.055)/1.055, 2.4)
		}
		sum += share * v
	}
	return sum
}

func contrast(t *testing.T, a, b string) float64 {
	x, y := luminance(t, a), luminance(t, b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

// 4.5 to 1 is what WCAG 2.1 asks of text (1.4.3); its own examples are white on
// black, 21 to 1, and #767676 on white, the lightest grey that passes.
func TestContrast(t *testing.T) {
	assert.InDelta(t, 21, contrast(t, "#ffffff", "#000000"), 1e-9)
	assert.InDelta(t, 4.54, contrast(t, "#ffffff", "#767676"), 0.01)
	for _, colour := range []string{dark, quiet, red, bar} {
		assert.GreaterOrEqual(t, contrast(t, colour, paper), 4.5, colour)
	}
	assert.GreaterOrEqual(t, contrast(t, bar, row), 4.5, "a bar on its ground")
	dashes := map[string]bool{}
	for _, i := range inks {
		assert.GreaterOrEqual(t, contrast(t, i.colour, paper), 4.5, i.colour)
		assert.False(t, dashes[i.dash], "two curves of one panel have the dashes %q", i.dash)
		dashes[i.dash] = true
	}
}

// The widths that are reckoned with are at least those of the font that most
// readers see.
func TestLettersAreNoWiderThanReckoned(t *testing.T) {
	var regular, bold *sfnt.Font
	for _, face := range liberation.Collection() {
		if face.Font.Variant != "Sans" || face.Font.Style != font.StyleNormal {
			continue
		}
		if face.Font.Weight == font.WeightBold {
			bold = face.Face
		} else {
			regular = face.Face
		}
	}
	require.NotNil(t, regular)
	require.NotNil(t, bold)
	const size = 1000
	for _, f := range []*sfnt.Font{regular, bold} {
		face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: size, DPI: 72})
		require.NoError(t, err)
		for c := rune(' '); c <= 0xff; c++ {
			if c > '~' && c < 0xa0 {
				continue
			}
			advance, ok := face.GlyphAdvance(c)
			require.True(t, ok, "%q", c)
			assert.GreaterOrEqual(t, width(string(c), size), float64(advance)/float64(fixed.I(1)), "%q", c)
		}
		advance, ok := face.GlyphAdvance(minus)
		require.True(t, ok)
		assert.GreaterOrEqual(t, width(string(minus), size), float64(advance)/float64(fixed.I(1)))
	}
}

func TestScalesAreRoundAndHoldTheirValues(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(-1e4, 1e4).Draw(t, "low")
		high := low + rapid.Float64Range(0, 1e4).Draw(t, "more")
		s := newScale(low, high)
		n := s.last - s.first
		slack := s.step * 0.021
		assert.True(t, n >= 1 && n <= 7, "%d steps", n)
		assert.LessOrEqual(t, s.tick(s.first), low+slack)
		assert.GreaterOrEqual(t, s.tick(s.last), high-slack)
		mantissa := s.step / math.Pow10(int(math.Floor(math.Log10(s.step)+1e-9)))
		assert.True(t, math.Abs(mantissa-1) < 1e-9 || math.Abs(mantissa-2) < 1e-9 || math.Abs(mantissa-5) < 1e-9, "a step of %g", s.step)
		seen := map[string]bool{}
		for i := s.first; i <= s.last; i++ {
			assert.False(t, seen[s.label(i)], "%s stands twice", s.label(i))
			seen[s.label(i)] = true
		}
	})
	s := newScale(59.81, 60.26)
	assert.Equal(t, []string{"59.8", "60.0", "60.2", "60.4"}, []string{s.label(s.first), s.label(s.first + 1), s.label(s.first + 2), s.label(s.last)})
	assert.Equal(t, "\u22120.5", decimal(-0.5, 1))
	assert.Equal(t, "0.0", decimal(-0.01, 1))
}

func TestTheClockIsRound(t *testing.T) {
	for span, want := range map[time.Duration]string{
		180 * time.Second: "s \u2212100 \u221280 \u221260 \u221240 \u221220 0 20 40 60 80",
		12 * time.Minute:  "min \u22126 \u22124 \u22122 0 2 4",
		8 * time.Hour:     "h \u22124 \u22123 \u22122 \u22121 0 1 2 3",
		time.Second:       "s \u22120.5 \u22120.4 \u22120.3 \u22120.2 \u22120.1 0.0 0.1 0.2 0.3 0.4",
		0:                 "s 0.00",
	} {
		c := newClock(float64(span))
		text := c.name
		for _, tick := range c.ticks(-float64(span)*0.59, float64(span)*0.49) {
			text += " " + decimal(tick, c.places)
		}
		assert.Equal(t, want, text, "%s", span)
	}
}

// Thinning keeps what the eye looks for: both ends, the highest and the lowest.
func TestThinningKeepsTheExtremes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var points []point
		x := 0.0
		for range rapid.IntRange(1, 200).Draw(t, "n") {
			x += rapid.Float64Range(0, 0.3).Draw(t, "step")
			points = append(points, point{x, rapid.Float64Range(0, 100).Draw(t, "y")})
		}
		out := thinned(points)
		assert.Equal(t, points[0], out[0])
		assert.Equal(t, points[len(points)-1], out[len(out)-1])
		column := map[float64]int{}
		for i, p := range out {
			column[math.Floor(p.x)]++
			if i > 0 {
				assert.GreaterOrEqual(t, p.x, out[i-1].x)
			}
		}
		for _, n := range column {
			assert.LessOrEqual(t, n, 4)
		}
		extent := func(list []point) (low, high float64) {
			low, high = math.Inf(1), math.Inf(-1)
			for _, p := range list {
				low, high = min(low, p.y), max(high, p.y)
			}
			return low, high
		}
		low, high := extent(points)
		gotLow, gotHigh := extent(out)
		assert.Equal(t, [2]float64{low, high}, [2]float64{gotLow, gotHigh})
	})
}

func TestNamesDoNotLieOnOneAnother(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := &Sheet{Rows: make([]trace.Row, 1)}
		n := panel{top: 100, height: 130, scale: newScale(0, 10)}
		for i := range rapid.IntRange(1, 8).Draw(t, "curves") {
			v := rapid.OneOf(rapid.Float64Range(0, 10), rapid.Just(0.0), rapid.Just(10.0)).Draw(t, "v")
			n.curves = append(n.curves, curve{name: fmt.Sprint(i), value: func(*trace.Row) (float64, bool) { return v, true }})
		}
		names := (&plan{sheet: s}).names(&n)
		assert.Len(t, names, len(n.curves))
		for i := range names {
			assert.True(t, names[i].y >= n.top && names[i].y <= n.top+n.height, "%g", names[i].y)
			if i > 0 {
				assert.GreaterOrEqual(t, names[i].y-names[i-1].y, nameRow-1e-9)
				assert.GreaterOrEqual(t, names[i].end, names[i-1].end, "they keep the order of the curves")
			}
		}
	})
}

func TestNumbersOfEventsDoNotLieOnOneAnother(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := &plan{sheet: &Sheet{}, from: 0, to: 3 * time.Minute}
		at := time.Duration(0)
		n := rapid.IntRange(0, 60).Draw(t, "n")
		for i := range n {
			at += time.Duration(rapid.IntRange(1, 5000).Draw(t, "ms")) * time.Millisecond
			p.events = append(p.events, event{at: at, row: at, key: fmt.Sprint(i + 1)})
		}
		keys := p.keys()
		last := 0
		for i, k := range keys {
			var first int
			fmt.Sscan(k.first, &first)
			assert.Equal(t, last+1, first, "no event is left out")
			fmt.Sscan(k.last, &last)
			if i > 0 {
				gap := (k.x - width(k.text(), tickSize)/2) - (keys[i-1].x + width(keys[i-1].text(), tickSize)/2)
				assert.Greater(t, gap, 0.0)
			}
		}
		assert.Equal(t, n, last)
	})
}

func TestWrappingLosesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`[a-zA-Z0-9 .,:]{0,200}`).Draw(t, "text")
		for _, line := range wrap(text, textSize, 120) {
			assert.LessOrEqual(t, width(line, textSize), 120.0)
		}
		bare := func(s string) string { return strings.ReplaceAll(s, " ", "") }
		assert.Equal(t, bare(text), bare(strings.Join(wrap(text, textSize, 120), "")))
	})
}
