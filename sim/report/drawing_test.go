package report

import (
	"bytes"
	"encoding/xml"
	"image/png"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func svgOf(t require.TestingT, s *Sheet) string {
	var b bytes.Buffer
	require.NoError(t, s.WriteSVG(&b))
	return b.String()
}

// words are all texts of a well-formed document, one string for each element.
func words(t require.TestingT, doc string) []string {
	d := xml.NewDecoder(strings.NewReader(doc))
	var out []string
	for {
		token, err := d.Token()
		if err == io.EOF {
			return out
		}
		require.NoError(t, err)
		if c, ok := token.(xml.CharData); ok && strings.TrimSpace(string(c)) != "" {
			out = append(out, string(c))
		}
	}
}

func TestSVGHoldsEverythingThatWasGiven(t *testing.T) {
	r := demoReport()
	texts := words(t, svgOf(t, r.headed()))
	for _, want := range []string{
		r.Title, r.Subtitle,
		"Temperature", "degC", "Power at the meter", "W", "Fan speed", "rpm",
		"bath A", "bath B", "cabinet", "mains", "fan 1", "fan 2",
		"recipe limit 51", "cabinet limit 55", "\u2191 high limit 80", "minimum 1500",
		"purge", "preheat", "degas", "clean", "roll-call", "run-on", "idle",
		"session started", "50 degC reached", "bath 51.2 degC: heater held", "fan 2 at 310 rpm: emission stopped", "cabinet cool",
		"trip at 0:41:01: fan 2 at 310 rpm, below its 1500 rpm minimum for 1.0 s: emission stopped",
		"clean, 0:30:00 to 0:36:00",
		"contactor", "fans", "heater", "bank 1", "bank 6",
		"bar at the foot: no reading from bath B",
		"0:00:00", "0:10:00", "1:10:00",
	} {
		assert.Contains(t, texts, want)
	}
}

func TestPNGHasTheSizeAskedFor(t *testing.T) {
	r := demoReport()
	for scale, width := range map[int]int{0: 1200, 2: 2400} {
		r.Sheet.PNGScale = scale
		var b bytes.Buffer
		require.NoError(t, r.Sheet.WritePNG(&b))
		c, err := png.DecodeConfig(&b)
		require.NoError(t, err)
		assert.Equal(t, []int{width, newPicture(&r.Sheet).height * max(scale, 1)}, []int{c.Width, c.Height})
	}
}

// A trip of one tick in a curve, at full height in both pictures.
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

func TestPictureOfAMonthIsNoBiggerThanOfAnHour(t *testing.T) {
	size := func(long time.Duration) int {
		k := NewTrack()
		for i := range 40_000 {
			k.Add(long/40_000*time.Duration(i), float64(i*7919%1000))
		}
		return len(svgOf(t, &Sheet{Panels: []Panel{{Lines: []Line{{"noise", k}}}}}))
	}
	assert.InEpsilon(t, size(time.Hour), size(30*24*time.Hour), 0.25)
}

// Labels never lie over each other, however the marks fall, and a trip is not
// without its label while a milder mark beside it has one.
func TestMarkLabelsDoNotOverlap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := NewMarks()
		n := rapid.IntRange(1, 60).Draw(t, "marks")
		for range n {
			m.Add(Mark{
				At:       time.Duration(rapid.IntRange(0, 3600).Draw(t, "at")) * time.Second,
				Label:    strings.Repeat("word ", rapid.IntRange(1, 12).Draw(t, "words")),
				Severity: Severity(rapid.IntRange(0, 2).Draw(t, "severity")),
			})
		}
		p := newPicture(&Sheet{Marks: m, End: time.Hour})
		require.Len(t, p.flags, n)
		for i, f := range p.flags {
			require.True(t, !f.named || f.left >= 0 && f.left+f.wide <= float64(p.width))
			for _, g := range p.flags[i+1:] {
				if f.named && g.named && f.lane == g.lane {
					require.True(t, f.left+f.wide < g.left || g.left+g.wide < f.left, "%q over %q", f.words, g.words)
				}
			}
		}
		if n <= flagLanes {
			require.Zero(t, p.unnamed)
		}
	})
}

func TestSideNamesKeepApart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		names := make([]sideName, rapid.IntRange(1, 10).Draw(t, "names"))
		for i := range names {
			names[i].y = rapid.Float64Range(100, 246).Draw(t, "y")
		}
		spread(names, 100, 246)
		for i := range names {
			require.True(t, names[i].at >= 100-1e-9 && names[i].at <= 246+1e-9)
			if i > 0 {
				require.GreaterOrEqual(t, names[i].at-names[i-1].at, namePx-1e-9)
			}
		}
	})
}

// Whatever the names and values, the SVG is well formed and says no more than
// was given: no element comes out of a name.
func TestSVGOfAnyInputIsWellFormed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name := func() string { return rapid.String().Draw(t, "name") + "</text><script>x</script>]]>&\x00" }
		k := NewTrack()
		for i, v := range rapid.SliceOf(rapid.Float64()).Draw(t, "values") {
			k.Add(time.Duration(i)*time.Second, v)
		}
		p, m := NewPhases(), NewMarks()
		p.Enter(0, name())
		p.Enter(time.Minute, name())
		p.Enter(time.Hour, name())
		m.Add(Mark{At: time.Second, Label: name(), Text: name(), Severity: Trip})
		s := &Sheet{Title: name(), Subtitle: name(), Phases: p, Marks: m,
			Panels:  []Panel{{Title: name(), Unit: name(), Lines: []Line{{name(), k}, {name(), nil}}, Limits: []Limit{{name(), rapid.Float64().Draw(t, "limit")}}}},
			Outputs: []Output{{name(), nil}},
			WidthPx: rapid.IntRange(-1, 5000).Draw(t, "width"),
		}
		doc := svgOf(t, s)
		words(t, doc)
		require.NotContains(t, doc, "<script")
		require.NotContains(t, doc, "NaN")
		require.NotContains(t, doc, "Inf")
	})
}
