package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// fence is a fenced block of a Markdown page.
var fence = regexp.MustCompile("(?ms)^```(\\w+)\n(.*?)^```$")

// shellBlock is one block of commands with the lines of output that the page
// shows after it.
type shellBlock struct{ commands, shown string }

func shellBlocks(t *testing.T, page string) []shellBlock {
	text, err := os.ReadFile(page)
	require.NoError(t, err)
	var blocks []shellBlock
	for _, match := range fence.FindAllStringSubmatch(string(text), -1) {
		switch match[1] {
		case "sh":
			blocks = append(blocks, shellBlock{commands: match[2]})
		case "text":
			require.NotEmpty(t, blocks, "output without a command")
			blocks[len(blocks)-1].shown += match[2]
		}
	}
	return blocks
}

const testCommand = "go test ./..."

// Every command that README shows must work as it stands there, one after the
// other, and the output that it shows must still look like that. Numbers may
// differ, since each change of the model moves them.
func TestREADMECommandsRun(t *testing.T) {
	if testing.Short() {
		t.Skip("builds and runs the program several times")
	}
	tree := t.TempDir()
	copyTree(t, "..", tree)
	blocks := shellBlocks(t, "../README.md")
	require.NotEmpty(t, blocks)
	tests := 0
	for _, block := range blocks {
		if strings.TrimSpace(block.commands) == testCommand {
			tests++ // it is what runs now
			continue
		}
		require.NotContains(t, block.commands, testCommand, "it would run itself: give it a block of its own")
		shell := exec.Command("sh", "-e", "-c", block.commands)
		shell.Dir = tree
		// Trimmed paths let the copies of this tree share the build cache.
		shell.Env = append(os.Environ(), "TMPDIR="+t.TempDir(), "GOFLAGS=-trimpath -buildvcs=false")
		output, err := shell.CombinedOutput()
		require.NoError(t, err, "%s\n%s", block.commands, output)
		lines := strings.Split(masked(string(output)), "\n")
		for line := range strings.Lines(block.shown) {
			assert.True(t, slices.Contains(lines, masked(strings.TrimSuffix(line, "\n"))),
				"README shows a line that is not in the output of %q: %s", block.commands, line)
		}
	}
	assert.Equal(t, 1, tests, "README says how to run the tests")
	assert.FileExists(t, filepath.Join(tree, "run", "fan-fails", "index.html"))
}

var digits = regexp.MustCompile(`\d+(\.\d+)?`)

func masked(text string) string { return digits.ReplaceAllString(text, "#") }

// copyTree copies the files of the tree that commands in it may need.
func copyTree(t *testing.T, from, to string) {
	require.NoError(t, filepath.WalkDir(from, func(path string, entry os.DirEntry, err error) error {
		if err != nil {
			return err
		}
		relative, err := filepath.Rel(from, path)
		if err != nil {
			return err
		}
		if entry.IsDir() {
			if slices.Contains([]string{".git", "run"}, relative) {
				return filepath.SkipDir
			}
			return os.MkdirAll(filepath.Join(to, relative), 0o755)
		}
		if !entry.Type().IsRegular() {
			return nil
		}
		data, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		return os.WriteFile(filepath.Join(to, relative), data, 0o644)
	}))
}

// What README tells people to run is what decides in CI.
func TestCIRunsTheTestsOfREADME(t *testing.T) {
	script, err := os.ReadFile("../.ci/run")
	require.NoError(t, err)
	lines := strings.Split(string(script), "\n")
	assert.Contains(t, lines, testCommand)
	first := slices.IndexFunc(lines, func(line string) bool { return strings.HasPrefix(line, "go test") })
	assert.Equal(t, testCommand, lines[first], "and first")
}

// link is a Markdown link to a file.
var link = regexp.MustCompile(`\]\(([^)#:]+)(?:#[^)]*)?\)`)

func TestLinksOfThePagesLeadSomewhere(t *testing.T) {
	pages, err := filepath.Glob("../docs/*.md")
	require.NoError(t, err)
	readme, err := os.ReadFile("../README.md")
	require.NoError(t, err)
	for _, page := range pages {
		assert.Contains(t, string(readme), "(docs/"+filepath.Base(page)+")", "README leads to every page")
	}
	for _, page := range append(pages, "../README.md", "../DEVELOPERS.md") {
		text, err := os.ReadFile(page)
		require.NoError(t, err)
		for _, match := range link.FindAllStringSubmatch(string(text), -1) {
			_, err := os.Stat(filepath.Join(filepath.Dir(page), match[1]))
			assert.NoError(t, err, "%s", page)
		}
	}
}

// key is a key or a table of a TOML file, at the start of a line and possibly
// commented out.
var key = regexp.MustCompile(`(?m)^(?:# )?(?:([a-z_]+) = |\[+([a-z_.]+)\]+)`)

func TestFileFormatsExplainEveryKeyInUse(t *testing.T) {
	text, err := os.ReadFile("../docs/file-formats.md")
	require.NoError(t, err)
	files, err := filepath.Glob("../testdata/*/*.toml")
	require.NoError(t, err)
	seen := 0
	for _, name := range files {
		file, err := os.ReadFile(name)
		require.NoError(t, err)
		for _, match := range key.FindAllStringSubmatch(string(file), -1) {
			seen++
			word := match[1] + match[2]
			assert.Regexp(t, "`\\[*"+regexp.QuoteMeta(word)+"\\]*`", string(text), "%s", name)
		}
	}
	assert.Greater(t, seen, 100)
}

// direct is a module of go.mod that a package of this project imports itself.
var direct = regexp.MustCompile(`(?m)^(?:\t|require )(\S+) v\S+$`)

func TestEveryDependencyHasItsReason(t *testing.T) {
	mod, err := os.ReadFile("../go.mod")
	require.NoError(t, err)
	page, err := os.ReadFile("../docs/dependencies.md")
	require.NoError(t, err)
	for _, match := range direct.FindAllStringSubmatch(string(mod), -1) {
		assert.Contains(t, string(page), "| "+match[1]+" |", "docs/dependencies.md")
	}
}
