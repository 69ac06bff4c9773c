package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The unit file of docs/board.md is one that the service manager takes, and that its
// own measure of exposure calls fit.
func TestTheUnitFile(t *testing.T) {
	page, err := os.ReadFile("../docs/board.md")
	require.NoError(t, err)
	_, after, found := strings.Cut(string(page), "<!-- unit: checked by a test -->\n```ini\n")
	require.True(t, found)
	unit, _, found := strings.Cut(after, "```")
	require.True(t, found)
	var command string
	for line := range strings.Lines(unit) {
		if words, ok := strings.CutPrefix(line, "ExecStart="); ok {
			command = strings.TrimSpace(words)
		}
	}
	words := strings.Fields(command)
	require.Greater(t, len(words), 2)
	verb := ""
	for _, v := range program().Verbs {
		if v.Name == words[1] {
			verb = v.Name
		}
	}
	assert.Equal(t, "run", verb, "the unit runs a verb that there is")

	analyze, err := exec.LookPath("systemd-analyze")
	if err != nil {
		if os.Getenv("BATHTENDER_CI") != "" {
			t.Fatal("systemd-analyze is not there")
		}
		t.Skip("systemd-analyze is not there")
	}
	// The program is not installed here: another stands in for it.
	file := filepath.Join(t.TempDir(), "bathtender.service")
	require.NoError(t, os.WriteFile(file, []byte(strings.ReplaceAll(unit, words[0], "/bin/true")), 0o644))
	said, err := exec.Command(analyze, "verify", "--man=no", file).CombinedOutput()
	assert.NoError(t, err, "%s", said)
	assert.NotContains(t, string(said), "bathtender.service:", "%s", said)
	said, err = exec.Command(analyze, "security", "--offline=true", "--threshold=20", file).CombinedOutput()
	assert.NoError(t, err, "%s", said)
}
