package journal

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/hal/trace"
	"bathtender/interlock"
)

// names returns the traces of a folder.
func names(t *testing.T, disk Disk, folder string) []string {
	files, err := disk.List(folder)
	require.NoError(t, err)
	var list []string
	for _, f := range files {
		if strings.HasSuffix(f.Name, ".csv") {
			list = append(list, f.Name)
		}
	}
	return list
}

// rows returns the rows of a trace, and what its sidecar says.
func rows(t *testing.T, disk Disk, name string) (list []trace.Row, meta trace.Metadata) {
	data, err := disk.Read(name)
	require.NoError(t, err)
	reader, err := trace.NewReader(strings.NewReader(string(data)), name)
	require.NoError(t, err)
	var row trace.Row
	for reader.Next(&row) == nil {
		list = append(list, row)
	}
	sidecar, err := disk.Read(trace.SidecarPath(name))
	require.NoError(t, err)
	meta, _, err = trace.ParseMetadata(sidecar, trace.SidecarPath(name))
	require.NoError(t, err)
	return list, meta
}

func TestASessionLeavesACoarseTrace(t *testing.T) {
	disk := newPowerDisk()
	h := begin(t, disk)
	h.run(time.Second)
	h.start()
	h.run(61 * time.Second)
	h.tick(tripped(interlock.AirflowLost, 1, "fan 2 at 310 rpm"))
	h.run(time.Second)
	h.end()
	list, meta := rows(t, disk, "sessions/session-0000000002.csv")
	assert.Equal(t, 5*time.Second, meta.Tick)
	assert.Empty(t, meta.State, "it is there to be looked at")
	assert.Len(t, list, 1+12+1+1, "a row every five seconds, one for the trip, one for the end")
	assert.Equal(t, "session begins", list[0].Events)
	assert.Equal(t, "session ends", list[len(list)-1].Events)
	assert.True(t, list[3].HasOutputs)
}

// Sessions grow older: their traces are thinned out, then removed; no record and
// no window is.
func TestOldSessionsAreThinnedOut(t *testing.T) {
	disk := newPowerDisk()
	h := begin(t, disk)
	sessions := sessionsWhole + sessionsThinned + 3
	if testing.Short() {
		sessions = sessionsWhole + 3
	}
	for n := range sessions {
		h.start()
		h.run(65 * time.Second)
		if n == 0 {
			h.tick(tripped(interlock.AirflowLost, 1, "fan 2 at 310 rpm"))
		}
		h.end()
		h.run(5 * time.Second)
	}
	list := names(t, disk, SessionFolder)
	whole, thinned := 0, 0
	for _, name := range list {
		if strings.HasSuffix(name, thinnedTail) {
			thinned++
		} else {
			whole++
		}
	}
	assert.Equal(t, sessionsWhole, whole)
	assert.Equal(t, min(sessions-sessionsWhole, sessionsThinned), thinned)
	assert.Len(t, names(t, disk, WindowFolder), 1)
	was, _ := rows(t, disk, SessionFolder+"/"+list[len(list)-1])
	is, meta := rows(t, disk, SessionFolder+"/"+list[0])
	assert.Equal(t, 30*time.Second, meta.Tick)
	assert.Less(t, len(is), len(was)/2)
	assert.Equal(t, "session begins", is[0].Events)
	assert.Equal(t, "session ends", is[len(is)-1].Events, "what happened stays")
	counted, told := 0, 0
	for _, e := range all(t, disk) {
		switch e.Kind {
		case SessionKind:
			counted++
		case ThinnedKind:
			told++
		}
	}
	assert.Equal(t, sessions, counted, "records stay for ever")
	assert.Equal(t, sessions-sessionsWhole+max(sessions-sessionsWhole-sessionsThinned, 0), told)
}

// A journal over its size loses the oldest sessions' traces, then the oldest
// windows, but never the newest forty of these and never a record.
func TestAJournalKeepsItsSize(t *testing.T) {
	disk := newPowerDisk()
	require.NoError(t, Create(disk))
	cabinet := aCabinet()
	cabinet.Most = 2 << 20
	h := &hand{}
	h.book, h.kept = Open(disk, cabinet, aDay)
	const trips = 60
	for range trips {
		h.start()
		h.run(30 * time.Second)
		h.tick(tripped(interlock.AirflowLost, 1, "fan 2 at 310 rpm"))
		h.end()
		h.run(130 * time.Second)
		require.True(t, h.book.OK(), h.book.Why())
	}
	h.run(time.Minute)
	assert.Empty(t, names(t, disk, SessionFolder), "sessions go first")
	windows := names(t, disk, WindowFolder)
	assert.GreaterOrEqual(t, len(windows), windowsLeast)
	assert.Less(t, len(windows), trips)
	entries := all(t, disk)
	kept := map[string]bool{}
	for _, name := range windows {
		kept[name] = true
	}
	found, gone := 0, true
	for _, e := range entries {
		if e.Kind != TripKind {
			continue
		}
		found++
		if kept[e.Trip.Window] {
			gone = false
		} else {
			assert.True(t, gone, "the oldest go first")
		}
	}
	assert.Equal(t, trips, found)
	assert.Contains(t, fmt.Sprint(texts(entries)), "was removed: the journal is over its size")
}

func TestAFloodIsTold(t *testing.T) {
	disk := newPowerDisk()
	h := begin(t, disk)
	for range 100 {
		e := interlock.Event{Kind: interlock.ResetRefused, Function: interlock.BathHighLimit}
		told := tripped(interlock.BathHighLimit, 0, "refused")
		told.Event.Interlock = e
		h.tick(told)
	}
	h.run(time.Hour)
	refused := 0
	for _, e := range all(t, disk) {
		if e.Kind == RefusedKind {
			refused++
		}
	}
	assert.Equal(t, floodMost, refused)
	assert.Contains(t, texts(all(t, disk)), "62 thinned: 40 further findings and refusals of the last hour were not recorded one by one")
}
