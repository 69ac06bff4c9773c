package trace

import (
	"bytes"
	"encoding/csv"
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
)

func TestLayoutNames(t *testing.T) {
	names, err := Layout{Fans: 2, Banks: 6, Ages: true, Outputs: true}.Names()
	require.NoError(t, err)
	assert.Equal(t, strings.Fields(`time_s bath_a_degC bath_b_degC cabinet_degC mains_V mains_W mains_A mains_Hz fan_1_rpm fan_2_rpm
		level_ok lid_closed stop_closed leak_dry contactor_aux record_ok kept_ok outputs_ok
		bath_a_age_s bath_b_age_s cabinet_age_s mains_V_age_s mains_W_age_s mains_A_age_s mains_Hz_age_s fan_1_age_s fan_2_age_s
		request out_contactor out_fans out_heater out_banks out_heartbeat out_watchdog out_sounder out_lamp`), names)
	with, err := Layout{Fans: 2, Banks: 6, Ages: true, Outputs: true, Events: true}.Names()
	require.NoError(t, err)
	assert.Equal(t, append(names, "events"), with, "last, and only when asked for")
	names, err = Layout{Outputs: true}.Names()
	require.NoError(t, err)
	assert.NotContains(t, names, "out_banks", "there are no banks")
	assert.NotContains(t, names, "fan_1_rpm")
	assert.Contains(t, names, "out_lamp")

	for _, test := range []struct {
		layout Layout
		want   string
	}{
		{Layout{Fans: 9}, "the layout has 9 fans; expected 0 to 8"},
		{Layout{Fans: -1}, "the layout has -1 fans; expected 0 to 8"},
		{Layout{Banks: 17}, "the layout has 17 banks; expected 0 to 16"},
		{Layout{Columns: []string{"mains_W"}}, "there is no column time_s, which every trace must have"},
		{Layout{Columns: []string{}}, "there is no column time_s, which every trace must have"},
		{Layout{Columns: []string{"time_s", "mains_w"}}, `unknown column "mains_w"; did you mean mains_W?`},
	} {
		_, err := test.layout.Names()
		assert.EqualError(t, err, test.want)
		_, err = NewWriter(new(bytes.Buffer), test.layout)
		assert.EqualError(t, err, test.want)
	}
}

func TestWriterRefusesWhatWouldBeLost(t *testing.T) {
	for _, test := range []struct {
		columns string
		banks   int
		row     Row
		want    string
	}{
		{"time_s", 0, Row{Request: hal.Request{Verb: hal.Start, Recipe: "a\r\nb"}},
			`row 2 at 1.5 s: the recipe name "a\r\nb" holds a carriage return, which a trace cannot keep; expected a text without one`},
		{"time_s", 0, Row{Request: hal.Request{Verb: hal.Start, Recipe: "\xff"}},
			`row 2 at 1.5 s: the recipe name "\xff" is not UTF-8; expected a text in UTF-8`},
		{"time_s", 0, Row{Request: hal.Request{Verb: hal.Stop, Recipe: "a"}},
			`row 2 at 1.5 s: the request names the recipe "a", which only goes with a start`},
		{"time_s", 0, Row{Request: hal.Request{Verb: 9}},
			`row 2 at 1.5 s: the request has the unknown verb 9; expected none, start, stop or reset`},
		{"time_s,events", 0, Row{Events: "fans on\r\npurge"},
			`row 2 at 1.5 s: the text of the events, "fans on\r\npurge", holds a carriage return, which a trace cannot keep; expected a text without one`},
		{"time_s,events", 0, Row{Events: "\xff"},
			`row 2 at 1.5 s: the text of the events, "\xff", is not UTF-8; expected a text in UTF-8`},
		{"time_s", 0, Row{Events: "fans on"},
			`row 2 at 1.5 s: the row has events, and the layout has no column for them`},
		{"time_s,out_banks", 6, Row{HasOutputs: true, Outputs: hal.Outputs{Banks: hal.Bank(6)}},
			`row 2 at 1.5 s: bank 7 is commanded, and out_banks holds 6 banks`},
		{"time_s,mains_W", 0, Row{Snapshot: hal.Snapshot{Meter: hal.Meter{Watts: hal.Aged(physic.Watt, time.Second)}}},
			`row 2 at 1.5 s: mains_W has an age, and the layout has no column for it; without one it would read as fresh`},
	} {
		var out bytes.Buffer
		w, err := NewWriter(&out, Layout{Columns: strings.Split(test.columns, ","), Banks: test.banks})
		require.NoError(t, err)
		require.NoError(t, w.Write(new(Row)))
		require.NoError(t, w.Flush())
		before := out.String()
		test.row.Time = 1500 * time.Millisecond
		assert.EqualError(t, w.Write(&test.row), test.want)
		assert.EqualError(t, w.Write(new(Row)), test.want, "an error stays")
		assert.EqualError(t, w.Flush(), test.want)
		assert.Equal(t, before, out.String())
	}
}

// An invalid reading has no value and no age, whatever stands in them.
func TestWriterWritesNothingForNoReading(t *testing.T) {
	row := Row{Snapshot: hal.Snapshot{Time: math.MaxInt64}}
	row.Fans[0] = hal.Reading[hal.RotationalSpeed]{Value: 5, Age: 6}
	assert.Equal(t, "time_s,fan_1_rpm,fan_1_age_s\n9223372036.854775807,,\n",
		written(t, Layout{Columns: []string{"time_s", "fan_1_rpm", "fan_1_age_s"}}, row))
}

func TestWriterOfEachRowWithEvents(t *testing.T) {
	var out bytes.Buffer
	w, err := NewWriter(&out, Layout{Columns: []string{"time_s", "out_banks", "events"}, Banks: 3}, EachRow)
	require.NoError(t, err)
	assert.Equal(t, "time_s,out_banks,events\n", out.String(), "the header is there before any row")
	row := Row{HasOutputs: true, Outputs: hal.Outputs{Banks: hal.Bank(0)}}
	row.Events = "bank 1 on, \"start\"\npurge"
	require.NoError(t, w.Write(&row))
	assert.Equal(t, "time_s,out_banks,events\n0,100,\"bank 1 on, \"\"start\"\"\npurge\"\n", out.String())
	require.NoError(t, w.Write(new(Row)))
	records, err := csv.NewReader(&out).ReadAll()
	require.NoError(t, err)
	assert.Equal(t, [][]string{{"time_s", "out_banks", "events"}, {"0", "100", "bank 1 on, \"start\"\npurge"}, {"0", "", ""}}, records)

	plain, err := NewWriter(&out, Layout{})
	require.NoError(t, err)
	assert.EqualError(t, plain.Write(&Row{Events: "x"}), "row 1 at 0 s: the row has events, and the layout has no column for them")
}

type brokenWriter struct{ err error }

func (b brokenWriter) Write([]byte) (int, error) { return 0, b.err }

func TestWriterErrorStays(t *testing.T) {
	full := errors.New("disk full")
	w, err := NewWriter(brokenWriter{full}, Layout{})
	require.NoError(t, err)
	require.NoError(t, w.Write(new(Row)))
	err = w.Flush()
	assert.ErrorIs(t, err, full)
	assert.EqualError(t, err, "the trace could not be written: disk full")
	assert.Equal(t, err, w.Write(new(Row)))
	_, err = NewWriter(brokenWriter{full}, Layout{}, EachRow)
	assert.ErrorIs(t, err, full)
}
