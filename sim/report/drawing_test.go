package report

import (
	"bytes"
	"encoding/xml"
	"image/png"
	"io"
	"strconv"
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
	inside(t, svgOf(t, r.headed()))
}

// inside checks that every rectangle and the anchor of every text is within the
// picture.
func inside(t require.TestingT, doc string) {
	d := xml.NewDecoder(strings.NewReader(doc))
	var width, height float64
	shapes := 0
	for {
		token, err := d.Token()
		if err == io.EOF {
			require.Greater(t, shapes, 3)
			return
		}
		e, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		at := map[string]float64{}
		for _, a := range e.Attr {
			at[a.Name.Local], _ = strconv.ParseFloat(a.Value, 64)
		}
		switch e.Name.Local {
		case "svg":
			width, height = at["width"], at["height"]
		case "rect", "text":
			shapes++
			require.True(t, at["x"] >= 0 && at["y"] >= 0 && at["width"] >= 0 && at["height"] >= 0 &&
				at["x"]+at["width"] <= width+0.1 && at["y"]+at["height"] <= height+0.1, "%v is outside of %g x %g", e, width, height)
		}
	}
}

func TestStepsOfAPathAreTenths(t *testing.T) {
	for tenths, want := range map[int64]string{0: "0", 5: "0.5", -5: "-0.5", 10: "1", -13: "-1.3", 12345: "1234.5"} {
		assert.Equal(t, want, decimal(tenths))
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
		inside(t, doc)
	})
}
