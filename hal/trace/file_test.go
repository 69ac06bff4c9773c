package trace

import (
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/hal"
)

func namesIn(t *testing.T, directory string) []string {
	entries, err := os.ReadDir(directory)
	require.NoError(t, err)
	names := []string{}
	for _, entry := range entries {
		names = append(names, entry.Name())
	}
	return names
}

func TestFileComesBack(t *testing.T) {
	directory := t.TempDir()
	path := filepath.Join(directory, "slide.csv")
	file, err := Create(path, Layout{Fans: 2, Banks: 6, Ages: true, Outputs: true, Events: true}, windowMeta)
	require.NoError(t, err)
	row := Row{Events: "fans on; \"purge\" begins", HasOutputs: true, Outputs: hal.Outputs{Banks: 5}, Request: hal.Request{Verb: hal.Reset}}
	require.NoError(t, file.Write(&row))
	require.NoError(t, file.Close())
	assert.Equal(t, []string{"slide.csv", "slide.csv-metadata.json"}, namesIn(t, directory))

	recording, err := Open(path)
	require.NoError(t, err)
	defer recording.Close()
	assert.True(t, recording.HasMetadata)
	assert.Equal(t, windowMeta, recording.Metadata)
	assert.True(t, recording.HasOutputs() && recording.HasAges() && recording.HasRequest())
	var back Row
	require.NoError(t, recording.Next(&back))
	assert.Equal(t, row, back)
	assert.Equal(t, io.EOF, recording.Next(&back))

	_, err = Create(path, Layout{}, slideMeta)
	assert.ErrorContains(t, err, "exists already; expected a new name, since a recording is never overwritten")
	require.NoError(t, os.Remove(SidecarPath(path)))
	_, err = Create(path, Layout{}, slideMeta)
	assert.ErrorIs(t, err, os.ErrExist)

	bare, err := Open(path)
	require.NoError(t, err)
	defer bare.Close()
	assert.False(t, bare.HasMetadata)
	assert.Equal(t, Metadata{}, bare.Metadata)
}

func TestCreateLeavesNothingBehindWhenItFails(t *testing.T) {
	directory := t.TempDir()
	_, err := Create(filepath.Join(directory, "a.csv"), Layout{Fans: 9}, slideMeta)
	assert.ErrorContains(t, err, "a.csv: the layout has 9 fans; expected 0 to 8")
	_, err = Create(filepath.Join(directory, "a.csv"), Layout{}, Metadata{})
	assert.ErrorContains(t, err, `a.csv: the origin is ""; expected synthetic, bench or tank`)
	// The name of the sidecar is longer than a file name may be, that of the CSV
	// file is not: the CSV file is there before the sidecar fails.
	_, err = Create(filepath.Join(directory, strings.Repeat("a", 250)), Layout{}, slideMeta)
	assert.ErrorContains(t, err, "the sidecar could not be written")
	_, err = Create(filepath.Join(directory, "no", "a.csv"), Layout{}, slideMeta)
	assert.ErrorIs(t, err, os.ErrNotExist)
	assert.Empty(t, namesIn(t, directory))
}

func TestOpenComparesColumnsWithTheSidecar(t *testing.T) {
	for text, want := range map[string]string{
		"time_s,bath_a_degC,lid_closed,out_banks,request\n": "column 4 is request and in the trace out_banks; expected the columns of the trace in their order",
		"time_s,bath_a_degC\n":                              "there are 5 columns, and 2 in the trace; expected the columns of the trace in their order",
	} {
		path := filepath.Join(t.TempDir(), "slide.csv")
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		require.NoError(t, os.WriteFile(SidecarPath(path), []byte(sidecarText(t, slideMeta)), 0o600))
		_, err := Open(path)
		assert.EqualError(t, err, SidecarPath(path)+": "+want)
	}
	_, err := Open(filepath.Join(t.TempDir(), "none.csv"))
	assert.ErrorIs(t, err, os.ErrNotExist)
}
