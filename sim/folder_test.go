package main

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/cli"
	"bathtender/firmware/version"
	"bathtender/hal/trace"
)

func readFile(t *testing.T, path string) []byte {
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	return data
}

// All that a report holds can be read by what it is for, and agrees.
func TestReportFolderHoldsWhatItShould(t *testing.T) {
	folder := t.TempDir()
	code, out, errs := sim("run", "-out", folder, "../testdata/scenarios/fan-fails-early.toml")
	require.Equal(t, cli.OK, code, "%s%s", out, errs)
	dir := filepath.Join(folder, "fan-fails-early")
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	var names []string
	for _, entry := range entries {
		names = append(names, entry.Name())
		assert.Contains(t, out, " "+entry.Name(), "each file is told")
	}
	assert.Equal(t, []string{"index.html", "session.csv", "session.csv-metadata.json", "session.png", "session.svg", "summary.json"}, names)

	checkPage(t, dir)
	wellFormed(t, readFile(t, filepath.Join(dir, "session.svg")), true)
	picture, err := png.Decode(bytes.NewReader(readFile(t, filepath.Join(dir, "session.png"))))
	require.NoError(t, err)
	assert.Greater(t, picture.Bounds().Dx(), 400)
	last, rows := checkTrace(t, dir)
	checkSummary(t, dir, last, rows)
}

// checkPage reads the page as XML with HTML's own entities and void elements, and
// follows what it refers to.
func checkPage(t *testing.T, dir string) {
	page := readFile(t, filepath.Join(dir, "index.html"))
	wellFormed(t, page, false)
	for _, match := range regexp.MustCompile(`(?:src|href)="([^"#]+)"`).FindAllSubmatch(page, -1) {
		if target := string(match[1]); !strings.HasPrefix(target, "data:") {
			assert.FileExists(t, filepath.Join(dir, target), "the page needs no network")
		}
	}
	assert.True(t, bytes.Contains(page, []byte("fan 1 at")), "the page tells what happened")
}

func wellFormed(t *testing.T, text []byte, strict bool) {
	d := xml.NewDecoder(bytes.NewReader(text))
	d.Strict = strict
	if !strict {
		d.AutoClose, d.Entity = xml.HTMLAutoClose, xml.HTMLEntity
	}
	elements, depth := 0, 0
	for {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		require.NoError(t, err)
		switch token.(type) {
		case xml.StartElement:
			elements++
			depth++
		case xml.EndElement:
			depth--
		}
	}
	assert.Greater(t, elements, 50)
	assert.Zero(t, depth)
}

// checkTrace reads the trace back and returns its last row's time in seconds, and
// how many rows it has.
func checkTrace(t *testing.T, dir string) (last float64, rows int64) {
	recording, err := trace.Open(filepath.Join(dir, "session.csv"))
	require.NoError(t, err)
	defer recording.Close()
	require.True(t, recording.HasMetadata)
	assert.Equal(t, trace.Synthetic, recording.Metadata.Origin)
	assert.Equal(t, uint64(70), recording.Metadata.Seed)
	var row trace.Row
	started := false
	for {
		err := recording.Next(&row)
		if err == io.EOF {
			break
		}
		require.NoError(t, err)
		require.True(t, row.HasOutputs)
		started = started || row.Request.Recipe == "gentle"
		rows++
	}
	assert.True(t, started)
	return row.Time.Seconds(), rows
}

func checkSummary(t *testing.T, dir string, last float64, rows int64) {
	var s summary
	d := json.NewDecoder(bytes.NewReader(readFile(t, filepath.Join(dir, "summary.json"))))
	d.DisallowUnknownFields()
	require.NoError(t, d.Decode(&s))
	assert.True(t, s.Passed)
	assert.Empty(t, s.Failures)
	assert.Equal(t, 1, s.Trips)
	assert.Equal(t, version.Version, s.Program)
	assert.Equal(t, uint64(70), s.Seed)
	assert.Equal(t, "gentle", s.Recipe)
	assert.InDelta(t, last, s.Seconds, 1e-9)
	assert.Equal(t, rows, s.Ticks)
	assert.Contains(t, s.FirstOut, "fan 1 at")
	trips := 0
	for _, e := range s.Events {
		if e.Severity == "trip" {
			trips++
			assert.Equal(t, s.FirstOut, e.Text)
		}
	}
	assert.Equal(t, s.Trips, trips)
	for part, degrees := range s.WorstDegC {
		assert.True(t, degrees > 15 && degrees < 80, "%s at %g degC", part, degrees)
	}
	assert.Len(t, s.WorstDegC, 5)
}
