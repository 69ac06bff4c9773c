package care

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/journal"
	"bathtender/firmware/machine"
)

func TestAReminderReadsNowAndThen(t *testing.T) {
	folder := journal.Folder(filepath.Join(t.TempDir(), "j"))
	require.NoError(t, os.Mkdir(string(folder), 0o755))
	require.NoError(t, journal.Create(folder))
	r := NewReminder(folder, &machine.Machine{Care: machine.Care{FoilTest: 30}})
	wall := time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)
	never := []string{"no foil test is on record, its interval is 30 days"}
	becomes := func(at time.Time, want []string) {
		t.Helper()
		require.Eventually(t, func() bool { return assert.ObjectsAreEqual(want, r.Due(at)) }, time.Minute, time.Millisecond)
	}
	becomes(wall, never)

	passed := true
	_, err := journal.Submit(folder, &journal.Entry{Kind: journal.FoilTestKind, Text: "even", Wall: journal.Wall{Time: wall}, Note: &journal.Note{ID: "a", Passed: &passed}})
	require.NoError(t, err)
	for range 100 {
		assert.Equal(t, never, r.Due(wall.Add(9*time.Minute)), "it is not read at every look")
	}
	becomes(wall.Add(10*time.Minute), nil)
	becomes(wall.AddDate(0, 0, 30), []string{"the foil test is due: the last was 30 days ago, its interval is 30 days"})
	becomes(wall, nil) // the clock was set back
}

func TestAReminderOfNoJournalSaysSo(t *testing.T) {
	r := NewReminder(journal.Folder(filepath.Join(t.TempDir(), "none")), &machine.Machine{})
	require.Eventually(t, func() bool { return len(r.Due(time.Unix(0, 0))) == 1 }, time.Minute, time.Millisecond)
	assert.Contains(t, r.Due(time.Unix(0, 0))[0], "the journal is damaged, so more may be due than is known: last-record: it is missing")
}
