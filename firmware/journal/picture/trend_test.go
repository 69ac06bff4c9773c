package picture

import (
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
	"bathtender/hal/trace"
)

// A bath that rises evenly from 20 to 30 degrees in ten minutes, and whose probe B
// is silent from the sixth on: where the lines must be can be reckoned by hand.
func TestATrendStandsWhereItShould(t *testing.T) {
	s := &Sheet{Mark: "start", Tick: 5 * time.Second}
	for at := time.Duration(0); at <= 10*time.Minute; at += 5 * time.Second {
		row := trace.Row{}
		row.Time = at
		degrees := physic.ZeroCelsius + 20*physic.Celsius + physic.Temperature(at/time.Second)*physic.Celsius/60
		row.Probes[hal.BathA] = hal.Fresh(degrees)
		if at < 6*time.Minute {
			row.Probes[hal.BathB] = hal.Fresh(degrees)
		}
		s.Rows = append(s.Rows, row)
	}
	list := s.Trends()
	require.Len(t, list, 1, "what has no reading has no picture")
	assert.Equal(t, "bath temperature, °C", list[0].Title)
	svg := list[0].SVG
	lines := regexp.MustCompile(`points="([^"]+)"`).FindAllStringSubmatch(svg, -1)
	require.Len(t, lines, 2)
	whole, part := pointsOf(t, lines[0][1]), pointsOf(t, lines[1][1])
	assert.Equal(t, point{trendLeft, trendFoot}, whole[0])                           // 20 degrees is the lowest tick
	assert.Equal(t, point{trendRight, 8 + nameRow}, whole[len(whole)-1])             // 30 the highest, under one row of names
	assert.InDelta(t, trendLeft+(trendRight-trendLeft)*0.59, part[len(part)-1].x, 2) // 5 min 55 s
	for _, p := range whole {
		share := (p.x - trendLeft) / (trendRight - trendLeft)
		assert.InDelta(t, trendFoot-share*(trendFoot-8-nameRow), p.y, 0.15)
	}
	bar := regexp.MustCompile(`<rect x="([0-9.]+)" y="([0-9.]+)" width="([0-9.]+)" height="3" fill="currentColor"/>`).FindStringSubmatch(svg)
	require.NotNil(t, bar, "no reading is said")
	x, err := strconv.ParseFloat(bar[1], 64)
	require.NoError(t, err)
	assert.InDelta(t, trendLeft+(trendRight-trendLeft)*0.6, x, 0.1)
	assert.NotContains(t, svg, "#", "colours are the page's")
	assert.NotContains(t, svg, "style=")
	assert.Contains(t, svg, ">bath probe A<")
	assert.Contains(t, svg, ">min from the start<")
	assert.Contains(t, svg, `stroke-dasharray="7 3"`, "not told apart by colour alone")
}

func pointsOf(t *testing.T, text string) []point {
	var list []point
	for _, pair := range strings.Fields(text) {
		x, y, ok := strings.Cut(pair, ",")
		require.True(t, ok)
		px, err := strconv.ParseFloat(x, 64)
		require.NoError(t, err)
		py, err := strconv.ParseFloat(y, 64)
		require.NoError(t, err)
		list = append(list, point{px, py})
	}
	return list
}

func TestASheetWithoutRowsHasNoTrends(t *testing.T) {
	assert.Empty(t, (&Sheet{}).Trends())
	assert.NotEmpty(t, (&Sheet{Rows: []trace.Row{{Snapshot: hal.Snapshot{Meter: hal.Meter{Watts: hal.Fresh(6 * physic.Watt)}}}}}).Trends(), "a single row")
}
