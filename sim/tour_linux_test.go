package main

import (
	"bytes"
	"io"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// window is a fenced block of a page with a command for a window of its own.
var window = regexp.MustCompile("(?ms)^```terminal\n(.*?)^```$")

// The two commands of README that go on until they are stopped lead to a trip on the
// page. They run here as they stand there; only the speed is another.
func TestTwoCommandsLeadToATripOnThePage(t *testing.T) {
	if testing.Short() {
		t.Skip("builds and runs the programs")
	}
	text, err := os.ReadFile("../README.md")
	require.NoError(t, err)
	found := window.FindAllStringSubmatch(string(text), -1)
	require.Len(t, found, 2)
	tree := t.TempDir()
	copyTree(t, "..", tree)
	words := filepath.Join(tree, "testdata", "live", "fan-fails.txt")
	script, err := os.ReadFile(words)
	require.NoError(t, err)
	require.Contains(t, string(script), "speed 60\n")
	require.NoError(t, os.WriteFile(words, bytes.Replace(script, []byte("speed 60\n"), []byte("speed 2000\n"), 1), 0o644))

	cabinet := begin(t, tree, found[0][1])
	waitFor(t, cabinet, "In another window")
	waitFor(t, begin(t, tree, found[1][1]), "http://127.0.0.1:8480/")
	deadline := time.Now().Add(4 * time.Minute)
	page := ""
	for !strings.Contains(page, "airflow lost, fan 2") {
		require.True(t, time.Now().Before(deadline), "no trip on the page:\n%s\n%s", page, cabinet.text())
		time.Sleep(200 * time.Millisecond)
		answer, err := http.Get("http://127.0.0.1:8480/")
		if err != nil {
			continue
		}
		body, err := io.ReadAll(answer.Body)
		require.NoError(t, err)
		require.NoError(t, answer.Body.Close())
		page = string(body)
	}
	assert.Contains(t, page, "synthetic")
	assert.Contains(t, cabinet.text(), "fan stalled, fan 2: the rotor is held")
}

// begin starts a command in a group of processes of its own, which ends with the test.
func begin(t *testing.T, tree, command string) *notes {
	shell := exec.Command("sh", "-e", "-c", command)
	shell.Dir = tree
	shell.Env = append(os.Environ(), "GOFLAGS=-trimpath -buildvcs=false")
	shell.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	said := &notes{}
	shell.Stdout, shell.Stderr = said, said
	require.NoError(t, shell.Start())
	t.Cleanup(func() {
		_ = syscall.Kill(-shell.Process.Pid, syscall.SIGTERM)
		_ = shell.Wait()
	})
	return said
}

func waitFor(t *testing.T, said *notes, text string) {
	for deadline := time.Now().Add(4 * time.Minute); !strings.Contains(said.text(), text); time.Sleep(50 * time.Millisecond) {
		require.True(t, time.Now().Before(deadline), "%q was not said:\n%s", text, said.text())
	}
}
