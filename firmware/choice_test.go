package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/cli"
	"bathtender/firmware/journal"
)

// A choice takes what lies on its first moment, and not what lies on the first
// that is too late.
func TestAChoiceHasItsEdges(t *testing.T) {
	now := time.Date(2026, 3, 31, 12, 0, 0, 0, time.UTC)
	c, err := newChoice("", "2026-01-05", "2026-01-05", "", 2, now, time.UTC)
	require.NoError(t, err)
	day := time.Date(2026, 1, 5, 0, 0, 0, 0, time.UTC)
	for after, fits := range map[time.Duration]bool{
		-1: false, 0: true, 1: true, 24*time.Hour - 1: true, 24 * time.Hour: false,
	} {
		for boot := range uint32(4) {
			e := &journal.Entry{Boot: boot, Wall: journal.Wall{Time: day.Add(after)}}
			assert.Equal(t, fits && boot == 2, c.fits(e), "%s after the day begins, boot %d", after, boot)
		}
	}
}

// A list is cut where nothing else is asked for; what is exported is not.
func TestWhatIsExportedIsWhole(t *testing.T) {
	folder := madeJournal(t, strings.Fields("boot"+strings.Repeat(" reset", 60)+" close")...)
	count := func(args ...string) int {
		code, out, errs := bathtender(append([]string{"log", "-journal", folder}, args...)...)
		require.Zero(t, code, errs)
		return strings.Count(out, "\n")
	}
	assert.Equal(t, 1+40, count(), "one line says how many are left out")
	assert.Equal(t, 62, count("-json"))
	assert.Equal(t, 1+62, count("-csv"))
	assert.Equal(t, 5, count("-json", "-last", "5"))
	assert.Equal(t, 1+5, count("-csv", "-last", "5"))
	assert.Equal(t, 62, count("-last", "18446744073709551615"))
}

// A trace that was thinned out is read in place of the whole one, and one that
// was removed is told by the record of it.
func TestTracesThatWereThinnedOrRemoved(t *testing.T) {
	folder := madeJournal(t)
	whole := filepath.Join(folder, "sessions", "session-0000000002.csv")
	thinned := strings.TrimSuffix(whole, ".csv") + "-thinned.csv"
	require.NoError(t, os.Rename(whole, thinned))
	sidecar, err := os.ReadFile(whole + "-metadata.json")
	require.NoError(t, err)
	sidecar = []byte(strings.ReplaceAll(string(sidecar), "session-0000000002.csv", "session-0000000002-thinned.csv"))
	require.NoError(t, os.WriteFile(thinned+"-metadata.json", sidecar, 0o644))
	code, out, errs := bathtender("log", "-journal", folder, "-show", "4")
	require.Zero(t, code, errs)
	assert.Contains(t, out, "session-0000000002-thinned.csv, 15 rows")

	// A journal that is too large for what it may have loses its oldest session.
	cabinet := madeCabinet()
	cabinet.Most = 1
	book, _ := journal.Open(journal.Folder(folder), cabinet, time.Date(2026, 1, 7, 8, 0, 0, 0, time.UTC))
	for i := range 50 {
		item := journal.Item{Wall: time.Date(2026, 1, 7, 8, 0, i, 0, time.UTC)}
		item.Row.Time = time.Duration(i+1) * time.Second
		book.Take(&item)
	}
	require.NoError(t, book.Close(time.Date(2026, 1, 7, 9, 0, 0, 0, time.UTC)))
	require.NoFileExists(t, thinned)
	code, out, errs = bathtender("log", "-journal", folder, "-show", "4")
	require.Zero(t, code, errs)
	assert.Regexp(t, `(?m)^trace of the session: \S+/session-0000000002\.csv is not there; record \d+: sessions/\S+ was removed: the journal is over its size$`, out)
}

// A fan that gives no reading is told where its window knows of it.
func TestAFanWithoutAReadingIsTold(t *testing.T) {
	folder := madeJournal(t, "boot", "run=5s", "silent", "trip", "run=5s", "close")
	_, out, _ := bathtender("log", "-journal", folder, "-show", "2")
	assert.Regexp(t, `(?m)^  fan 1 +no reading$`, out)
	assert.Regexp(t, `(?m)^  fan 2 +310 rpm +0 s old$`, out)
	assert.NotContains(t, out, "fan 3")
}

// A note that cannot be found again is not told as recorded.
func TestANoteIsReadBack(t *testing.T) {
	var out strings.Builder
	err := readBack(cli.Streams{Out: &out}, journal.Folder(madeJournal(t)), "none")
	assert.EqualError(t, err, "the note was recorded, and cannot be read back; log says what is damaged")
	assert.Empty(t, out.String())
}

// What could not be said must not pass for what was said.
func TestWhatIsRecordedButCannotBeToldFails(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "j")
	for _, args := range [][]string{{"new-journal", folder}, {"note", "it hums", "-journal", folder}, {"help"}} {
		var errs strings.Builder
		assert.Equal(t, cli.Failed, command(cli.Streams{Out: fullDisk{}, Err: &errs}, args), "%v", args)
		assert.Contains(t, errs.String(), "standard output: no space left on device", "%v", args)
	}
}
