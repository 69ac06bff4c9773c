package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/cli"
	"bathtender/hal/trace"
)

const tracesFolder = "../testdata/traces"

// keptTraces are the scenarios whose traces are kept in testdata/traces, each in a
// folder of its name. They are made by the program itself, as
//
//	go run ./sim run -out FOLDER testdata/scenarios/NAME.toml
//
// makes them; all that is kept are the trace and its sidecar. To make them anew,
// after a change of decisions, machine file or version:
//
//	go test ./sim -run TestTraces -update
var keptTraces = []string{"fan-fails-early", "tach-picks-up-mains"}

// A trace that was recorded once must lead to the same decisions for as long as
// the version is the same.
func TestTracesAreDecidedAsTheyWere(t *testing.T) {
	for _, name := range keptTraces {
		kept := filepath.Join(tracesFolder, name, "session.csv")
		if *update {
			makeTrace(t, name)
		}
		recording, err := trace.Open(kept)
		require.NoError(t, err)
		require.True(t, recording.HasMetadata)
		assert.Equal(t, trace.Synthetic, recording.Metadata.Origin, "no real tank has recorded a trace yet")
		assert.True(t, recording.HasOutputs())
		require.NoError(t, recording.Close())

		code, out, errs := sim("replay", kept)
		assert.Equal(t, cli.OK, code, "%s: go test ./sim -run TestTraces -update\n%s%s", name, out, errs)
		assert.Empty(t, errs)
		assert.Regexp(t, `(?m)^[1-9][0-9]* rows; the decisions of [1-9][0-9]* are as recorded$`, out)
		assert.Regexp(t, `(?m)^ *[0-9:.]+ # `, out, "a trace without a trip shows little")
	}
	folders, err := os.ReadDir(tracesFolder)
	require.NoError(t, err)
	assert.Len(t, folders, len(keptTraces))
}

func makeTrace(t *testing.T, name string) {
	made := t.TempDir()
	code, _, errs := sim("run", "-quiet", "-out", made, filepath.Join("../testdata/scenarios", name+".toml"))
	require.Equal(t, cli.OK, code, "%s", errs)
	require.NoError(t, os.MkdirAll(filepath.Join(tracesFolder, name), 0o755))
	for _, file := range []string{"session.csv", trace.SidecarPath("session.csv")} {
		data, err := os.ReadFile(filepath.Join(made, name, file))
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(tracesFolder, name, file), data, 0o644))
	}
}

// sim runs one command line without input.
func sim(args ...string) (code int, out, errs string) {
	var o, e bytes.Buffer
	code = command(cli.Streams{In: bytes.NewReader(nil), Out: &o, Err: &e}, args)
	return code, o.String(), e.String()
}
