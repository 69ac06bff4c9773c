package picture

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
	"bathtender/hal/trace"
)

func TestEachFittedReadingIsOneCurve(t *testing.T) {
	p := read(t, aSheet())
	curves := p.group("curve")
	require.Len(t, curves, 6)
	for _, name := range []string{"bath probe A", "bath probe B", "whole cabinet", "fan 1", "fan 2", "cabinet probe"} {
		c := curves[name]
		assert.Len(t, c.all("polyline"), 1, "%s has no gap", name)
		assert.Empty(t, c.all("rect"), "%s has no bar of missing readings", name)
	}
	assert.Len(t, p.group("bar"), 6, "contactor, fans, heater, three banks")
	assert.False(t, strings.Contains(text(t, aSheet()), "Without any reading"))
}

func TestWhatIsNotFittedIsSaidAndNotDrawn(t *testing.T) {
	s := aSheet()
	for i := range s.Rows {
		s.Rows[i].Probes[hal.BathB] = hal.Reading[physic.Temperature]{}
		s.Rows[i].Probes[hal.Cabinet] = hal.Reading[physic.Temperature]{}
	}
	p := read(t, s)
	assert.Len(t, p.group("curve"), 4)
	assert.NotContains(t, p.group("panel"), "cabinet temperature, \u00b0C")
	assert.True(t, strings.Contains(text(t, s), "Without any reading here: bath probe B and cabinet probe."))
}

// Where there is no reading there is no line, and a bar at the foot says so.
func TestAGapBreaksTheCurve(t *testing.T) {
	s := aSheet()
	for since := -30 * time.Second; since < -20*time.Second; since += tick {
		s.at(since).Fans[1] = hal.Reading[hal.RotationalSpeed]{}
	}
	p := read(t, s)
	plan := newPlan(s)
	from, to := plan.x(130*time.Second), plan.x(140*time.Second)
	curves := p.group("curve")
	fan2, fan1 := curves["fan 2"], curves["fan 1"]
	lines := fan2.all("polyline")
	require.Len(t, lines, 2)
	first, second := lines[0].points(t), lines[1].points(t)
	assert.LessOrEqual(t, first[len(first)-1].x, from)
	assert.InDelta(t, to, second[0].x, 0.11)
	bars := fan2.all("rect")
	require.Len(t, bars, 1)
	assert.InDelta(t, from, bars[0].number(t, "x"), 0.06)
	assert.InDelta(t, to-from, bars[0].number(t, "width"), 0.11)
	assert.Equal(t, fan2.all("polyline")[0].attr("stroke"), bars[0].attr("fill"))
	assert.Len(t, fan1.all("polyline"), 1)
	assert.True(t, strings.Contains(text(t, s), "no reading of the curve of its colour"))

	// One that is missing for a single tick can still be seen.
	s = aSheet()
	s.at(-30 * time.Second).Fans[1] = hal.Reading[hal.RotationalSpeed]{}
	p = read(t, s)
	fan2 = p.group("curve")["fan 2"]
	require.Len(t, fan2.all("rect"), 1)
	assert.GreaterOrEqual(t, fan2.all("rect")[0].number(t, "width"), 2.0)

	// So can one that is there for a single tick.
	s = aSheet()
	for i := range s.Rows {
		if i != 300 {
			s.Rows[i].Fans[1] = hal.Reading[hal.RotationalSpeed]{}
		}
	}
	p = read(t, s)
	fan2 = p.group("curve")["fan 2"]
	require.Len(t, fan2.all("polyline"), 1)
	assert.Len(t, fan2.all("polyline")[0].points(t), 2)
}

// Rows that are missing, and a clock that goes back, break every curve and bar.
func TestRowsThatDoNotFollowAreNotJoined(t *testing.T) {
	for what, spoil := range map[string]func(*Sheet){
		"rows missing": func(s *Sheet) { s.Rows = append(s.Rows[:300:300], s.Rows[310:]...) },
		"clock back": func(s *Sheet) {
			for i := range s.Rows[300:] {
				s.Rows[300+i].Time -= 10 * time.Second
			}
		},
	} {
		s := aSheet()
		spoil(s)
		p := read(t, s)
		for name, c := range p.group("curve") {
			assert.Len(t, c.all("polyline"), 2, "%s: %s", what, name)
		}
		contactor := p.group("bar")["contactor"]
		assert.Len(t, contactor.all("rect"), 1+2, "%s: the ground and two bars", what)
	}
	s := aSheet()
	s.Rows = append(s.Rows[:300:300], s.Rows[302:]...)
	p := read(t, s)
	fan1 := p.group("curve")["fan 1"]
	assert.Len(t, fan1.all("polyline"), 1, "two rows do not make a gap")
}

func TestTheTripStandsAtZero(t *testing.T) {
	p := read(t, aSheet())
	zero := p.group("zero")["trip, the zero of the time"]
	require.Len(t, zero.all("line"), 1)
	x := zero.all("line")[0].number(t, "x1")
	assert.Equal(t, x, zero.all("line")[0].number(t, "x2"), "it is vertical")
	axis := p.group("time")["time from the trip"]
	var labels []string
	for _, tick := range axis.all("text") {
		labels = append(labels, tick.Text)
		if tick.Text == "0" {
			assert.Equal(t, x, tick.number(t, "x"), "the mark is at 0 of the axis")
		}
	}
	assert.Equal(t, []string{"\u221260", "\u221250", "\u221240", "\u221230", "\u221220", "\u221210", "0", "10", "20", "30", "time from the trip, s"}, labels)

	// Emission ends there, and the watts go down there.
	bank := p.group("bar")["bank 1"]
	on := bank.all("rect")[1]
	assert.InDelta(t, x, on.number(t, "x")+on.number(t, "width"), 0.11)

	events := p.group("event")
	assert.Len(t, events, 2, "the others are thin marks")
	for title, e := range events {
		line := e.all("line")[0]
		assert.NotEqual(t, x, line.number(t, "x1"), title)
		assert.NotEmpty(t, line.attr("stroke-dasharray"), "it is told from the trip's without colour")
	}
	assert.Contains(t, events, "\u221220.0 s: roll-call begins")
	assert.Contains(t, events, "+20.0 s: airflow lost (fan 2) has been reset")

	s := aSheet()
	s.Zero = time.Hour
	p = read(t, s)
	assert.Empty(t, p.group("zero"), "a trip that the rows do not reach has no mark")
}

func TestItIsNamedForReadersWhoDoNotSeeIt(t *testing.T) {
	p := read(t, aSheet())
	assert.Equal(t, "img", p.attr("role"))
	assert.Equal(t, "title desc", p.attr("aria-labelledby"))
	require.Equal(t, "title", p.Children[0].XMLName.Local)
	assert.Equal(t, "title", p.Children[0].attr("id"))
	assert.Equal(t, aSheet().Title, p.Children[0].Text)
	require.Equal(t, "desc", p.Children[1].XMLName.Local)
	assert.Equal(t, "desc", p.Children[1].attr("id"))
	assert.Contains(t, p.Children[1].Text, "901 rows from \u221260.0 s to +30.0 s, seen from the trip.")
	assert.Contains(t, p.Children[1].Text, "The fan 2 (fan speed, rpm) from 310.0 to 2600.0.")
	assert.Contains(t, p.Children[1].Text, "Commanded on, bank 3: \u221260.0 s to 0 s.")
	assert.Contains(t, p.Children[1].Text, "Commanded on, heater: never.")
}

// Whatever stands in a trace, the picture is XML on its own lines, and what it
// says is text.
func TestNothingBreaksOutOfTheText(t *testing.T) {
	s := aSheet()
	hostile := "</text><script>alert(1)</script>\x00\x1b[31m\n\"'&<!-- \u202e \xff ]]>"
	s.Title, s.About, s.Mark = hostile, hostile, hostile
	s.at(0).Events, s.at(-5*time.Second).Events = hostile, hostile
	p := read(t, s)
	assert.Empty(t, p.all("script"))
	assert.False(t, strings.ContainsAny(text(t, s), "\x1b\u202e"))
	assert.Contains(t, p.Children[0].Text, "</text><script>alert(1)</script>")
}

func TestTheSameRowsGiveTheSameBytes(t *testing.T) {
	assert.True(t, text(t, aSheet()) == text(t, aSheet()))
}

// All that is drawn lies in the picture, whatever there is of it.
func TestAllLiesWithinThePicture(t *testing.T) {
	full := aSheet()
	full.Fans, full.Banks = hal.MaxFans, hal.MaxBanks
	full.Title = strings.Repeat("a long title of many words ", 20)
	for i := range full.Rows {
		for fan := range hal.MaxFans {
			full.Rows[i].Fans[fan] = hal.Fresh(2000 * hal.RPM)
		}
		if i%10 == 0 {
			full.Rows[i].Events = fmt.Sprintf("event %d %s", i, strings.Repeat("word ", i%60))
		}
	}
	for what, s := range map[string]*Sheet{
		"a window": aSheet(), "all there can be": full, "no row": {Title: "a title", Mark: "trip"},
		"one row": {Title: "a title", Mark: "trip", Rows: aSheet().Rows[:1], Zero: 100 * time.Second},
	} {
		p := read(t, s)
		wide, high := p.number(t, "width"), p.number(t, "height")
		for _, words := range p.all("text") {
			x, y := words.number(t, "x"), words.number(t, "y")
			size := width(words.Text, words.number(t, "font-size"))
			switch words.attr("text-anchor") {
			case atMiddle:
				x -= size / 2
			case atEnd:
				x -= size
			}
			assert.True(t, x >= 0 && x+size <= wide+2 && y >= 8 && y <= high-4, "%s: %q at %g, %g", what, words.Text, x, y)
		}
		for _, r := range p.all("rect") {
			assert.True(t, r.number(t, "x") >= 0 && r.number(t, "x")+r.number(t, "width") <= wide, what)
			assert.True(t, r.number(t, "y") >= 0 && r.number(t, "y")+r.number(t, "height") <= high, what)
		}
		for _, l := range p.all("polyline") {
			for _, pt := range l.points(t) {
				assert.True(t, pt.x >= left-0.1 && pt.x <= right+1.1 && pt.y > 0 && pt.y < high, what)
			}
		}
	}
	assert.True(t, strings.Contains(text(t, full), "and at 51 more rows"))
	assert.True(t, strings.Contains(text(t, &Sheet{Mark: "trip"}), "The trace holds no row."))
}

// The rows and the sizes come from the text of a trace; one that is torn gives
// the rows before.
func TestLoad(t *testing.T) {
	var out strings.Builder
	w, err := trace.NewWriter(&out, trace.Layout{Fans: 2, Banks: 5, Ages: true, Outputs: true, Events: true})
	require.NoError(t, err)
	rows := aSheet().Rows
	for i := range rows {
		require.NoError(t, w.Write(&rows[i]))
	}
	require.NoError(t, w.Flush())
	whole := []byte(out.String())
	var s Sheet
	require.NoError(t, s.Load(whole, "a.csv"))
	assert.Equal(t, rows, s.Rows)
	assert.Equal(t, 2, s.Fans)
	assert.Equal(t, 5, s.Banks, "also those that are never on")

	s = Sheet{}
	err = s.Load(whole[:len(whole)-60], "a.csv")
	require.ErrorContains(t, err, "a.csv:902:")
	assert.Equal(t, rows[:len(rows)-1], s.Rows)
	s = Sheet{}
	require.ErrorContains(t, s.Load(nil, "a.csv"), "the file is empty")
	s = Sheet{}
	require.NoError(t, s.Load([]byte("time_s\n1\n2\n"), "a.csv"))
	assert.Len(t, s.Rows, 2)
	assert.Zero(t, s.Fans+s.Banks)
}
