package drive_test

import (
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/journal"
	"bathtender/firmware/recipe"
	"bathtender/firmware/setup"
	"bathtender/hal"
	"bathtender/hal/trace"
	"bathtender/sim/drive"
	"bathtender/sim/plant"
	"bathtender/sim/scenario"
)

// wornDisk counts what it is given to write.
type wornDisk struct {
	journal.Folder
	bytes, syncs int
}

func (d *wornDisk) Replace(name string, data []byte) error {
	d.bytes += len(data)
	d.syncs += 2 // the file and its name
	return d.Folder.Replace(name, data)
}

func (d *wornDisk) Open(name string) (journal.File, error) {
	file, err := d.Folder.Open(name)
	return wornFile{file, d}, err
}

type wornFile struct {
	journal.File
	disk *wornDisk
}

func (f wornFile) WriteAt(data []byte, at int64) (int, error) {
	f.disk.bytes += len(data)
	return f.File.WriteAt(data, at)
}

func (f wornFile) Sync() error {
	f.disk.syncs++
	return f.File.Sync()
}

// worn is what is written for one thing that happens.
type worn struct {
	what         string
	bytes, syncs int
}

// The wear of a memory card, as docs/journal.md states it: what is written for a
// start of the program, an idle day, a session and a trip.
func TestWhatIsWrittenIsWhatTheDocsSay(t *testing.T) {
	if testing.Short() {
		t.Skip("a simulated day")
	}
	sc, err := scenario.Load("../../testdata/scenarios/gentle-clean.toml")
	require.NoError(t, err)
	p, err := plant.New(sc.Plant, sc.World)
	require.NoError(t, err)
	disk := &wornDisk{Folder: journal.Folder(t.TempDir())}
	require.NoError(t, journal.Create(disk.Folder))
	cabinet := setup.Journal(sc.Machine, []*recipe.File{sc.Recipe}, trace.Synthetic, 1)
	var rows []worn
	before := *disk
	count := func(what string) {
		rows = append(rows, worn{what, disk.bytes - before.bytes, disk.syncs - before.syncs})
		before = *disk
	}
	s := drive.NewRecorded(sc.Config, disk, cabinet, scenario.Begun, p)
	run := func(d time.Duration) {
		for range int(d / (100 * time.Millisecond)) {
			require.NoError(t, s.Tick(hal.Request{}))
		}
	}
	run(time.Minute)
	count("a start of the program, the first with this machine file")
	run(24 * time.Hour)
	count("an idle day")
	begun := s.Now()
	require.NoError(t, s.Tick(hal.Request{Verb: hal.Start, Recipe: sc.Recipe.Recipe.Name}))
	run(time.Second)
	for s.Supervisor.Status().Phase != recipe.Idle {
		run(time.Second)
	}
	run(time.Minute)
	count(fmt.Sprintf("a session of %.0f min without trips", (s.Now() - begun).Minutes()))
	s.Plant.Faults.StopOpen = true
	run(2 * time.Minute)
	count("a trip, with its window")
	require.Empty(t, s.Why())
	text := "| | bytes | times that the card must finish writing |\n|---|---|---|\n"
	for _, r := range rows {
		text += fmt.Sprintf("| %s | %d | %d |\n", r.what, r.bytes, r.syncs)
	}
	const page = "../../docs/journal.md"
	docs, err := os.ReadFile(page)
	require.NoError(t, err)
	const from, to = "<!-- wear: from a test -->\n", "<!-- end of wear -->"
	head, rest, ok := strings.Cut(string(docs), from)
	require.True(t, ok)
	table, tail, ok := strings.Cut(rest, to)
	require.True(t, ok)
	if *update {
		require.NoError(t, os.WriteFile(page, []byte(head+from+text+to+tail), 0o644))
		return
	}
	assert.Equal(t, text, table, "write it anew: go test ./sim/drive -run Written -update")
	assert.Zero(t, rows[1].bytes, "an idle day writes nothing")
}
