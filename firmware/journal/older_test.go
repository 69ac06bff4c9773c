package journal

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/interlock"
)

// Journals of each version that there has been are kept as they were written,
// and must be read by all that follow.
func TestJournalsOfOlderVersionsAreRead(t *testing.T) {
	folders, err := filepath.Glob("../../testdata/journals/*")
	require.NoError(t, err)
	require.NotEmpty(t, folders)
	for _, folder := range folders {
		entries := all(t, Folder(folder))
		assert.Equal(t, []string{
			"1 boot: the program starts for the 1st time",
			`2 start: session of "gentle" begins`,
			"3 trip: fan 1 at 60 rpm, below its 1500 rpm minimum for 1.0 s: emission stopped",
			`4 session: session of "gentle" ends in clean: a trip has taken away what it needs; 0.7 min, 0.5 min of emission, 3 Wh`,
			"5 baselines: what health keeps after this session",
			"6 shutdown: the program ends in order",
			"7 boot: the program starts for the 2nd time",
			`8 start: session of "heavy" begins`,
			"9 lockout: 988 W that nothing commanded explains, with the heater commanded off, for 3.0 s; over 494 W it can only be the heater: contactor opened and locked out",
			`10 session: session of "heavy" ends in preheat: a trip has taken away what it needs; 1.0 min, 0.0 min of emission, 12 Wh`,
			"11 baselines: what health keeps after this session",
			"12 shutdown: the program ends in order",
		}, texts(entries), folder)
		assert.Equal(t, "trip-0000000009.csv", entries[8].Trip.Window)
		assert.Contains(t, string(entries[8].Trip.Readings), `"mains_W":`)
		stored, err := (&Book{disk: Folder(folder)}).readKept()
		require.NoError(t, err)
		kept, err := stored.restore()
		require.NoError(t, err)
		assert.True(t, kept.Lockouts.Has(interlock.SlotOf(interlock.HeaterWillNotStop, 0)))
		assert.Equal(t, 2, kept.Record.Sessions)
		list, meta := rows(t, Folder(folder), "windows/trip-0000000009.csv")
		assert.Greater(t, len(list), 1000)
		assert.Equal(t, "record 9", meta.Trip)
	}
}
