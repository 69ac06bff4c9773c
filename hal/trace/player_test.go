package trace

import (
	"io"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/hal"
)

const played = `time_s,request,out_heater,out_banks
0,"start a
b",0,000
0.1,,1,110

0.2,stop,,
0.3,,0,000
`

func newPlayer(t *testing.T, text string) *Player {
	r, err := NewReader(strings.NewReader(text), "slide.csv")
	require.NoError(t, err)
	return NewPlayer(r)
}

// play replays a trace against these decisions.
func play(t *testing.T, p *Player, decisions ...hal.Outputs) {
	for _, outputs := range decisions {
		require.NoError(t, p.Read(new(hal.Snapshot)))
		require.NoError(t, p.Write(outputs))
	}
}

func TestPlayerGivesSnapshotsAndRequests(t *testing.T) {
	p := newPlayer(t, played)
	assert.EqualError(t, p.Write(hal.Outputs{}), "the replay was given outputs before a snapshot was read; expected a read before each write")
	var snapshot hal.Snapshot
	for i, want := range []hal.Request{{Verb: hal.Start, Recipe: "a\nb"}, {}, {Verb: hal.Stop}, {}} {
		require.NoError(t, p.Read(&snapshot))
		assert.EqualValues(t, i*1e8, snapshot.Time)
		assert.Equal(t, want, p.Request())
		assert.Equal(t, snapshot, p.Row().Snapshot)
	}
	assert.Equal(t, io.EOF, p.Read(&snapshot))
	assert.Error(t, p.Write(hal.Outputs{}), "there is no row after the end")
	assert.Zero(t, p.Compared())
}

func TestPlayerFindsNoDifference(t *testing.T) {
	p := newPlayer(t, played)
	// The trace has no column for the lamp, and no outputs in its third row.
	play(t, p, hal.Outputs{Lamp: true}, hal.Outputs{Heater: true, Banks: 3, Lamp: true}, hal.Outputs{Heater: true}, hal.Outputs{})
	assert.Nil(t, p.Difference())
	assert.Equal(t, 3, p.Compared())
}

func TestPlayerKeepsTheFirstDifference(t *testing.T) {
	p := newPlayer(t, played)
	play(t, p, hal.Outputs{}, hal.Outputs{Banks: 1, Lamp: true}, hal.Outputs{}, hal.Outputs{Heater: true})
	assert.Equal(t, &Difference{File: "slide.csv", Line: 4, Time: 1e8, Outputs: []OutputDifference{
		{"out_heater", "1", "0"}, {"out_banks", "110", "100"},
	}}, p.Difference())
	assert.Equal(t, "slide.csv:4: at 0.1 s out_heater was recorded as 1 and is now 0, out_banks was recorded as 110 and is now 100", p.Difference().String())
}

// A bank beyond the width of the recorded banks was recorded as off.
func TestPlayerSeesABankBeyondThoseRecorded(t *testing.T) {
	p := newPlayer(t, played)
	play(t, p, hal.Outputs{Banks: hal.Bank(4)})
	require.NotNil(t, p.Difference())
	assert.Equal(t, []OutputDifference{{"out_banks", "00000", "00001"}}, p.Difference().Outputs)
}

func TestPlayerAllocatesLittle(t *testing.T) {
	p := newPlayer(t, "time_s,out_heater\n"+strings.Repeat("1,1\n", 200))
	var snapshot hal.Snapshot
	// One is the text of the row, which the CSV reader makes.
	assert.LessOrEqual(t, testing.AllocsPerRun(100, func() {
		if p.Read(&snapshot) != nil || p.Write(hal.Outputs{Heater: true, Lamp: true}) != nil {
			panic("unexpected error")
		}
	}), 1.0)
}
