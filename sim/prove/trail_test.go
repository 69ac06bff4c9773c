package prove

import (
	"io"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/freeze"
	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/hal/trace"
)

// way returns the trail on which the world gives what these words name.
func way(t *testing.T, view string, words ...string) *Trail {
	trail := &Trail{View: Find(view)}
	inputs := trail.View.Inputs()
next:
	for _, w := range words {
		for i := range inputs {
			if inputs[i].Words == w {
				trail.Path = append(trail.Path, i)
				continue next
			}
		}
		require.Fail(t, "no input is called so", w)
	}
	return trail
}

// replayed reads a trace back, gives it to a whole supervisor, and returns how
// many rows it decided as recorded.
func replayed(t *testing.T, v *View, path string) int {
	file, err := trace.Open(path)
	require.NoError(t, err)
	defer file.Close()
	assert.Equal(t, v.Name, ViewOf(file.Metadata.Machine).Name)
	config := supervisor.Config{Rules: v.Rules}
	s := supervisor.New(config, supervisor.Kept{})
	if file.Metadata.State != "" {
		var state supervisor.State
		require.NoError(t, freeze.Parse(file.Metadata.State, &state))
		s = supervisor.Resume(config, state)
	}
	player := trace.NewPlayer(file.Reader)
	var snapshot hal.Snapshot
	for {
		if err := player.Read(&snapshot); err == io.EOF {
			break
		}
		require.NoError(t, err)
		out, _ := s.Tick(&snapshot, player.Request())
		require.NoError(t, player.Write(out))
	}
	require.Nil(t, player.Difference())
	return player.Compared()
}

func TestTrailsAreReplayed(t *testing.T) {
	const restart = "the program is started again"
	for _, trail := range []*Trail{
		way(t, "contactor", "", "request start", "", "", "auxiliary contact absent", ""),
		way(t, "contactor", "", "request start", "", "", "", "auxiliary contact open", "auxiliary contact open", restart, "request reset", "", "request start", "", ""),
		way(t, "air", "", "fan 1 too old", "request start", "fan 1 just under its minimum", "fan 1 at its minimum", ""),
		way(t, "late", "", "tick at its deadline", "tick just late", "tick with the clock going back", "tick very late, request start"),
		way(t, "sides", "", "request start", "request start an unknown recipe", "", "", "", "", "", "", "", "request start", ""),
	} {
		path, err := trail.WriteTrace(t.TempDir(), "way")
		require.NoError(t, err)
		assert.Greater(t, replayed(t, trail.View, path), 3)
		assert.False(t, trail.Estimated())
	}
	assert.True(t, way(t, "level", "", "liquid just under its minimum").Estimated())
}

// TestKnownTrails holds the way that is known against what it is about.
func TestKnownTrails(t *testing.T) {
	trail := way(t, "contactor", "", "request start", "", "", "auxiliary contact absent", "")
	var closed []bool
	last := trail.play(shipped(), func(_ *Given, w *walk, _ *State) { closed = append(closed, w.out.Contactor) })
	assert.True(t, last.knows(AuxFlickers))
	assert.Equal(t, []bool{false, false, false, true, false, true}, closed)
}

func TestATraceIsNeverOverwritten(t *testing.T) {
	trail, folder := way(t, "lid", "", "request start"), t.TempDir()
	_, err := trail.WriteTrace(folder, "way")
	require.NoError(t, err)
	_, err = trail.WriteTrace(folder, "way")
	assert.ErrorContains(t, err, "a recording is never overwritten")
}

func TestViewOf(t *testing.T) {
	for _, v := range Views() {
		require.NotNil(t, ViewOf(v.Fingerprint()))
		assert.Equal(t, v.Fingerprint(), ViewOf(v.Fingerprint()).Fingerprint())
	}
	assert.Nil(t, ViewOf("0123456789abcdef"))
	assert.Nil(t, ViewOf("view none 00"))
}
