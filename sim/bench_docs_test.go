package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Every example of the page on the bench is played or run, and must come out as
// shown.
func TestTheExamplesOfTheBenchPage(t *testing.T) {
	page := string(readFile(t, "../docs/bench.md"))
	tree := t.TempDir()
	testdata, err := filepath.Abs("../testdata")
	require.NoError(t, err)
	require.NoError(t, os.Symlink(testdata, filepath.Join(tree, "testdata")))
	output, played := "", 0
	for _, match := range fence.FindAllStringSubmatch(page, -1) {
		switch text := match[2]; match[1] {
		case "bench":
			played++
			require.NoError(t, os.WriteFile(filepath.Join(tree, "example.txt"), []byte(text), 0o644))
			output = inTree(t, tree, "bathtender-sim bench example.txt")
		case "sh":
			played++
			output = inTree(t, tree, strings.ReplaceAll(text, "go run ./sim", "bathtender-sim"))
		case "text":
			lines := strings.Split(output, "\n")
			for line := range strings.Lines(text) {
				assert.True(t, slices.Contains(lines, strings.TrimSuffix(line, "\n")), "the page shows a line that is not printed: %s\n%s", line, output)
			}
		}
	}
	assert.Greater(t, played, 6)
	for word := range strings.FieldsSeq("set ramp follow start stop reset hold wait late restart expect show explain help history quit use") {
		assert.Regexp(t, "(?m)^\\|.*`"+word, page, "the page tells every statement")
	}
}

// inTree runs commands in a folder, without anything typed, and returns what they
// print.
func inTree(t *testing.T, tree, commands string) string {
	shell := exec.Command("sh", "-e", "-c", commands)
	shell.Dir = tree
	output, err := shell.CombinedOutput()
	require.NoError(t, err, "%s\n%s", commands, output)
	return string(output)
}
