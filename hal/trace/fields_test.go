package trace

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"periph.io/x/conn/v3/physic"

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
}
