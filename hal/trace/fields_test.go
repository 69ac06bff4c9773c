package trace

import (
	"encoding/csv"
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"periph.io/x/conn/v3/physic"
	"pgregory.net/rapid"

	"bathtender/hal"
)

func TestFieldsAreThoseThatAreNotEmpty(t *testing.T) {
	layout := Layout{Fans: 1, Banks: 3, Ages: true, Outputs: true, Events: true}
	row := Row{Request: hal.Request{Verb: hal.Start, Recipe: `a,"b"`}, Events: `he said "on"`}
	row.Time = 1500e6
	row.Probes[hal.BathB] = hal.Aged(physic.ZeroCelsius-physic.Celsius/4, 250e6)
	row.Contacts.LidClosed = hal.Open
	row.Outputs.Banks = hal.Bank(1)
	want := []Field{
		{"time_s", "1.5", true}, {"bath_b_degC", "-0.25", true}, {"lid_closed", "0", false},
		{"record_ok", "0", false}, {"kept_ok", "0", false}, {"outputs_ok", "0", false}, {"bath_b_age_s", "0.25", true},
		{"request", `start a,"b"`, false}, {"events", `he said "on"`, false},
	}
	got, err := layout.Fields(&row)
	require.NoError(t, err)
	assert.Equal(t, want, got, "no outputs were recorded")
	row.HasOutputs = true
	got, err = layout.Fields(&row)
	require.NoError(t, err)
	assert.Contains(t, got, Field{"out_banks", "010", false})
	assert.Contains(t, got, Field{"out_heater", "0", false})
	_, err = Layout{Fans: 9}.Fields(&row)
	assert.EqualError(t, err, "the layout has 9 fans; expected 0 to 8")
	row.Outputs.Banks = hal.Bank(4)
	_, err = layout.Fields(&row)
	assert.EqualError(t, err, "bank 5 is commanded, and out_banks holds 3 banks", "010 would say that it is off")
	row.HasOutputs = false
	_, err = layout.Fields(&row)
	assert.NoError(t, err, "what was not recorded is not looked at")
}

// The fields are those that the standard library's CSV reader finds in the trace
// of the row and that are not empty, and encoding/json takes the numbers for the
// same numbers that it would read from any other text.
func TestFieldsAreThoseOfTheTrace(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		layout := Layout{Columns: drawColumns(t)}
		row := drawRow(t, layout.Columns, hal.MaxBanks)
		fields, err := layout.Fields(&row)
		require.NoError(t, err)
		records, err := csv.NewReader(strings.NewReader(written(t, layout, row))).ReadAll()
		require.NoError(t, err)
		var want []Field
		for i, name := range layout.Columns {
			if value := records[1][i]; value != "" {
				want = append(want, Field{name, value, columnNamed(name).unit != ""})
			}
		}
		require.Equal(t, want, fields)
		for _, f := range fields {
			if !f.Number {
				continue
			}
			var number json.Number
			require.NoError(t, json.Unmarshal([]byte(f.Value), &number), "%s: %s", f.Name, f.Value)
			require.Equal(t, f.Value, number.String())
		}
	})
}
