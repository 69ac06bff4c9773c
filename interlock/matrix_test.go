package interlock

import (
	"bytes"
	"flag"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the generated page anew; read the difference before you keep it")

const page = "../docs/protective-functions.md"

func TestDocsAreThoseOfTheTable(t *testing.T) {
	var want bytes.Buffer
	require.NoError(t, WriteMarkdown(&want))
	if *update {
		require.NoError(t, os.WriteFile(page, want.Bytes(), 0o644))
	}
	got, err := os.ReadFile(page)
	require.NoError(t, err)
	assert.Equal(t, want.String(), string(got), "write it anew: go test ./interlock -run TestDocs -update")
}

func TestMatrix(t *testing.T) {
	cfg := demoConfig()
	var b bytes.Buffer
	require.NoError(t, WriteMatrix(&b, &cfg))
	lines := strings.Split(b.String(), "\n")
	assert.Equal(t, "function                    delay  latch   start heater emission contactor bank", lines[0])
	assert.Equal(t, "stop                        0      trip    x     x      x        X", lines[1])
	assert.Equal(t, "airflow lost                1 s    trip    x            X", lines[1+AirflowLost])
	assert.Equal(t, "bank short of watts         5 s    trip                                    X", lines[1+BankShort])
	assert.Len(t, lines, 1+int(FunctionCount)+2)
	for _, line := range lines[:1+FunctionCount] {
		assert.LessOrEqual(t, len(line), 80)
	}
}

func TestKeysAreNamesThatAFileCanHold(t *testing.T) {
	seen := map[string]bool{}
	for f := range FunctionCount {
		assert.Regexp(t, `^[a-z]+(_[a-z]+)*$`, f.Key())
		assert.False(t, seen[f.Key()])
		seen[f.Key()] = true
	}
	assert.Equal(t, "over_power", OverPower.Key())
}
