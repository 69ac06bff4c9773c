package main

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"bathtender/sim/plant"
)

func TestAppointments(t *testing.T) {
	var faults plant.Faults
	for _, row := range []struct {
		line  string
		check func() bool
	}{
		{"6 s after emission: fan stalled, fan 2", func() bool { return faults.FanStalled[1] }},
		{"6 s after emission: no fan stalled, fan 2", func() bool { return !faults.FanStalled[1] }},
		{"1 s after start: probe offset, bath B, 3 K", func() bool { return faults.ProbeOffset[1] == 3 }},
		{"1 s after start: bank dead, bank 6", func() bool { return faults.BankDead[5] }},
		{"1 s after start: leak, 2 l/min", func() bool { return faults.LeakRate == 2 }},
		{"1 s after start: meter silent", func() bool { return faults.MeterSilent }},
	} {
		a, err := parseAppointment(row.line)
		require.NoError(t, err, row.line)
		require.False(t, row.check() && !a.ends, "%s: it is so already", row.line)
		a.apply(&faults)
		require.True(t, row.check(), row.line)
	}
	press, err := parseAppointment("2 s after heartbeat: press start")
	require.NoError(t, err)
	require.Equal(t, appointment{after: 2 * time.Second, from: "heartbeat", what: "press start", button: "start button", down: true}, press)
}

func TestAppointmentsThatAreNone(t *testing.T) {
	for line, says := range map[string]string{
		"fan stalled, fan 2":                        "is not of the form",
		"soon after emission: fan stalled, fan 2":   "soon",
		"6 s after lunch: fan stalled, fan 2":       "allowed are start, heartbeat, contactor, emission, off",
		"6 s after emission: fan melted":            "there is no fault",
		"6 s after emission: fan stalled":           "lacks its place",
		"6 s after emission: fan stalled, bank 2":   "lacks its place",
		"6 s after emission: fan stalled, fan 9":    "lacks its place",
		"6 s after emission: meter silent, fan 2":   "more than it needs",
		"6 s after emission: leak, many":            "many",
		"6 s after emission: press lunch":           "there is no fault",
		"6 s after emission: probe open, cellar":    "lacks its place",
		"6 s after emission: probe open, bath A, 3": "more than it needs",
	} {
		_, err := parseAppointment(line)
		require.ErrorContains(t, err, says, line)
	}
}

// Each appointment is due once, after its moment and not before; the first of several
// moments of a kind counts.
func TestWhatIsDue(t *testing.T) {
	a, err := parseAppointment("6 s after emission: fan stalled, fan 2")
	require.NoError(t, err)
	table := timetable{list: []appointment{a}, been: map[string]time.Duration{}}
	require.Empty(t, table.due(time.Hour))
	table.happens(fromEmission, time.Hour)
	table.happens(fromEmission, time.Hour+3*time.Second)
	require.Empty(t, table.due(time.Hour+5999*time.Millisecond))
	require.Len(t, table.due(time.Hour+6*time.Second), 1)
	require.Empty(t, table.due(time.Hour+7*time.Second))
}
