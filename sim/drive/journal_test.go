package drive_test

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/freeze"
	"bathtender/firmware/journal"
	"bathtender/firmware/recipe"
	"bathtender/firmware/setup"
	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/hal/trace"
	"bathtender/sim/drive"
	"bathtender/sim/plant"
	"bathtender/sim/scenario"
)

// scenarios returns those of the built-in ones that are tried: all, or a few
// under the race detector and emulators.
func scenarios(t *testing.T) []string {
	all, err := filepath.Glob("../../testdata/scenarios/*.toml")
	require.NoError(t, err)
	require.Greater(t, len(all), 50)
	if !testing.Short() {
		return all
	}
	var few []string
	for _, name := range []string{"fan-fails-early", "tach-picks-up-mains", "controller-restarts", "heater-relay-welds"} {
		few = append(few, "../../testdata/scenarios/"+name+".toml")
	}
	return few
}

// recorded plays a scenario with a journal and returns its folder.
func recorded(t *testing.T, name string) (journal.Folder, *scenario.Scenario) {
	sc, err := scenario.Load(name)
	require.NoError(t, err)
	folder := journal.Folder(t.TempDir())
	require.NoError(t, journal.Create(folder))
	result, err := sc.Record(folder, scenario.Begun)
	require.NoError(t, err)
	assert.Empty(t, result.Failures, "a journal changes nothing")
	entries, damages, err := journal.All(folder)
	require.NoError(t, err)
	require.Empty(t, damages)
	trips := 0
	for _, e := range entries {
		if e.Kind == journal.TripKind || e.Kind == journal.LockoutKind {
			trips++
			require.NotEmpty(t, e.Trip.Window, "record %d", e.Seq)
			require.FileExists(t, filepath.Join(string(folder), journal.WindowFolder, e.Trip.Window))
		}
	}
	assert.Equal(t, result.Trips, trips, "each trip is recorded")
	return folder, sc
}

// Every window of every scenario, replayed from its first row, gives the
// outputs and the sentences that were recorded, row for row.
func TestWindowsReplayToTheSameDecisions(t *testing.T) {
	windows := 0
	for _, name := range scenarios(t) {
		folder, sc := recorded(t, name)
		files, err := filepath.Glob(filepath.Join(string(folder), journal.WindowFolder, "*.csv"))
		require.NoError(t, err)
		for _, path := range files {
			windows++
			replayed(t, path, sc.Config)
		}
	}
	if !testing.Short() {
		assert.Greater(t, windows, 35)
	}
}

// replayed replays a window and returns its first and last time.
func replayed(t *testing.T, path string, config supervisor.Config) (from, to time.Duration) {
	file, err := trace.Open(path)
	require.NoError(t, err)
	defer file.Close()
	var state supervisor.State
	require.NoError(t, freeze.Parse(file.Metadata.State, &state))
	s := supervisor.Resume(config, state)
	var row trace.Row
	for rows := 0; ; rows++ {
		err := file.Next(&row)
		if errors.Is(err, io.EOF) {
			require.Greater(t, rows, 0)
			return from, to
		}
		require.NoError(t, err)
		if rows == 0 {
			from = row.Time
		}
		to = row.Time
		out, events := s.Tick(&row.Snapshot, row.Request)
		require.Equal(t, row.Outputs, out, "%s, line %d", path, file.Line())
		var said []string
		for _, e := range events {
			said = append(said, s.Sentence(e))
		}
		require.Equal(t, row.Events, strings.Join(said, "; "), "%s, line %d", path, file.Line())
	}
}

const journalDigest = "testdata/journal-digest.txt"

// The whole journal of a run with trips, a turn-over and a lockout has the same
// bytes on amd64, arm64 and armv6; .ci/run tries the latter two.
func TestJournalHasTheDigestOnEveryProcessor(t *testing.T) {
	sum := sha256.New()
	for _, name := range []string{"fan-fails-early", "heater-relay-welds", "emitter-dies"} {
		folder, _ := recorded(t, "../../testdata/scenarios/"+name+".toml")
		require.NoError(t, filepath.WalkDir(string(folder), func(path string, entry fs.DirEntry, err error) error {
			if err != nil || entry.IsDir() {
				return err
			}
			data, err := os.ReadFile(path)
			io.WriteString(sum, strings.TrimPrefix(path, string(folder))+"\x00")
			sum.Write(data)
			return err
		}))
	}
	got := hex.EncodeToString(sum.Sum(nil))
	if *update {
		require.NoError(t, os.WriteFile(journalDigest, []byte(got+"\n"), 0o644))
	}
	want, err := os.ReadFile(journalDigest)
	require.NoError(t, err)
	assert.Equal(t, strings.TrimSpace(string(want)), got,
		"where plant, supervisor or journal were changed on purpose: go test ./sim/drive -run Digest -update")
}

// A window shows two minutes before its trip and one after it, a second trip
// prolongs it, and a power loss leaves what there was.
func TestAWindowThroughASecondTripAndAPowerLoss(t *testing.T) {
	sc, err := scenario.Load("../../testdata/scenarios/gentle-clean.toml")
	require.NoError(t, err)
	p, err := plant.New(sc.Plant, sc.World)
	require.NoError(t, err)
	folder := journal.Folder(t.TempDir())
	require.NoError(t, journal.Create(folder))
	cabinet := setup.Journal(sc.Machine, []*recipe.File{sc.Recipe}, trace.Synthetic, 1)
	s := drive.NewRecorded(sc.Config, folder, cabinet, scenario.Begun, p)
	run := func(d time.Duration) {
		for range int(d / (100 * time.Millisecond)) {
			require.NoError(t, s.Tick(hal.Request{}))
		}
	}
	start := hal.Request{Verb: hal.Start, Recipe: sc.Recipe.Recipe.Name}
	run(time.Minute)
	require.NoError(t, s.Tick(start))
	run(4 * time.Minute)
	first := s.Now()
	s.Plant.Faults.StopOpen = true // the first trip
	run(30 * time.Second)
	s.Plant.Faults.ProbeOpen[hal.BathA] = true // and another
	second := s.Now()
	run(40 * time.Second)
	cut := s.Now()
	s.Restart(time.Second) // the power goes
	run(time.Minute)
	windows, err := filepath.Glob(filepath.Join(string(folder), journal.WindowFolder, "*.csv"))
	require.NoError(t, err)
	require.Len(t, windows, 2, "one through both trips, one of the next run")
	from, to := replayed(t, windows[0], sc.Config)
	assert.GreaterOrEqual(t, first-from, journal.Before)
	assert.Less(t, first-from, journal.Before+15*time.Second)
	assert.Greater(t, second+journal.After, cut, "it was not over")
	assert.InDelta(t, cut.Seconds(), to.Seconds(), 10.2, "all but what had not been made durable yet")
	from, to = replayed(t, windows[1], sc.Config)
	assert.Less(t, from-cut, 2*time.Second, "from the start of the program")
	assert.Greater(t, to, from+50*time.Second)
}
