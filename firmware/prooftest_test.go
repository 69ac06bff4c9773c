package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"net"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/cli"
	"bathtender/firmware/journal"
	"bathtender/firmware/status"
	"bathtender/testdata"
)

// leaky is a program that answers at a socket, of a cabinet that has nothing but a leak
// sensor: after some views it gets wet, and dry again once it has tripped and was seen.
type leaky struct {
	mutex   sync.Mutex
	views   int
	late    float64 // s from wet to the trip, on its own clock of 100 ms a view
	wet     float64 // when it got wet; 0 for dry
	tripped float64 // when it tripped; 0 for not
	reset   bool    // a reset was asked while it was dry
	dead    bool    // the function is not there
}

func (l *leaky) view() status.View {
	l.views++
	v := status.View{Format: 1, Machine: "slide tank", Uptime: float64(l.views) / 10}
	v.Session.Phase = "idle"
	state, given := "closed", true
	if l.wet == 0 && l.views == 10 {
		l.wet = v.Uptime
	}
	if l.wet != 0 {
		state = "open"
	}
	if l.wet != 0 && l.tripped == 0 && v.Uptime >= l.wet+l.late && !l.dead {
		l.tripped = v.Uptime
	}
	if l.tripped != 0 {
		v.Recent = []status.Happened{{Ago: v.Uptime - l.tripped, Kind: "trip", Text: "the leak sensor has been wet or broken for 1.0 s: contactor opened"}}
		if !l.reset {
			given = false
			v.Latched = []status.Latch{{Name: "leak"}}
		}
	}
	if l.wet != 0 && v.Uptime > l.wet+l.late+3 && (l.tripped != 0 || v.Uptime > l.wet+20) {
		l.wet, state = -1, "closed" // it has been dried
	}
	if l.wet < 0 {
		state = "closed"
	}
	v.Permits = []status.Permit{{Name: "start", Given: given}, {Name: "contactor", Given: given}}
	v.Contacts = []status.Contact{{Name: "leak sensor", State: state}}
	return v
}

func (l *leaky) answer(line string) any {
	l.mutex.Lock()
	defer l.mutex.Unlock()
	switch {
	case strings.Contains(line, "status"):
		return l.view()
	case strings.Contains(line, "reset") && l.wet > 0:
		return map[string]any{"ok": false, "error": "leak cannot be reset while its cause stands"}
	case strings.Contains(line, "reset"):
		l.reset = true
	}
	return map[string]any{"ok": true}
}

func (l *leaky) serve(t *testing.T) string {
	folder, err := os.MkdirTemp("", "pt") // a socket's path must be short
	require.NoError(t, err)
	t.Cleanup(func() { os.RemoveAll(folder) })
	path := filepath.Join(folder, "s")
	listener, err := net.Listen("unix", path)
	require.NoError(t, err)
	t.Cleanup(func() { listener.Close() })
	go func() {
		for {
			conn, err := listener.Accept()
			if err != nil {
				return
			}
			line, _ := bufio.NewReader(conn).ReadString('\n')
			answer, _ := json.Marshal(l.answer(line))
			_, _ = conn.Write(append(answer, '\n'))
			conn.Close()
		}
	}()
	return path
}

// proofRig is a journal, a machine file and answers.
func proofRig(t *testing.T, answers string) (journalFolder, machineFile, answersFile string) {
	folder := t.TempDir()
	journalFolder = filepath.Join(folder, "j")
	require.NoError(t, os.Mkdir(journalFolder, 0o755))
	require.NoError(t, journal.Create(journal.Folder(journalFolder)))
	data, err := testdata.FS.ReadFile("machines/slide-tank.toml")
	require.NoError(t, err)
	machineFile = filepath.Join(folder, "m.toml")
	require.NoError(t, os.WriteFile(machineFile, data, 0o644))
	answersFile = filepath.Join(folder, "answers")
	require.NoError(t, os.WriteFile(answersFile, []byte(answers), 0o644))
	return journalFolder, machineFile, answersFile
}

func runCommand(args ...string) (code int, out, errs string) {
	var o, e strings.Builder
	code = command(cli.Streams{In: strings.NewReader(""), Out: &o, Err: &e}, args)
	return code, o.String(), e.String()
}

func proofRecord(t *testing.T, folder string) *journal.ProofTest {
	var found *journal.ProofTest
	_, err := journal.Read(journal.Folder(folder), func(e *journal.Entry, _ []byte) bool {
		if e.Kind == journal.ProofTestKind {
			found = e.Note.ProofTest
		}
		return true
	})
	require.NoError(t, err)
	require.NotNil(t, found)
	return found
}

func TestProofTestOverTheSocket(t *testing.T) {
	for _, c := range []struct {
		name    string
		program *leaky
		answers string
		code    int
		says    string
		result  journal.ProofOutcome
		broken  bool
	}{
		{"passes", &leaky{late: 1}, "yes\nyes\nyes\n", 0, "1 passed, 0 failed, 0 not tried", journal.ProofPassed, false},
		{"late", &leaky{late: 2}, "yes\nyes\nyes\n", 1, "failed: leak", journal.ProofFailed, false},
		{"answers end", &leaky{late: 1}, "yes\n", 1, "0 passed, 0 failed, 1 not tried", journal.ProofNotTried, true},
		{"skipped", &leaky{late: 1}, "yes\nskip\n", 0, "0 passed, 0 failed, 1 not tried", journal.ProofNotTried, false},
		{"ended by its owner", &leaky{late: 1}, "yes\nno\n", 1, "its owner ended the walk", journal.ProofNotTried, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			folder, machineFile, answers := proofRig(t, c.answers)
			page := filepath.Join(t.TempDir(), "page.html")
			code, out, errs := runCommand("prooftest", "-socket", c.program.serve(t), "-journal", folder, "-machine", machineFile,
				"-answers", answers, "-only", "leak", "-report", page)
			assert.Equal(t, c.code, code, "%s%s", out, errs)
			assert.Contains(t, out, c.says)
			assert.Contains(t, out, "this was no whole proof test, and moves the date of the next one by nothing")
			record := proofRecord(t, folder)
			require.Len(t, record.Results, 1)
			assert.Equal(t, c.result, record.Results[0].Result)
			assert.Equal(t, c.broken, record.Broken)
			assert.False(t, record.Whole)
			report, err := os.ReadFile(page)
			require.NoError(t, err)
			assert.Contains(t, string(report), "<td>"+string(c.result)+"</td><td>leak</td>")
			_, shown, errs := runCommand("log", "-journal", folder, "-show", "1")
			assert.Empty(t, errs)
			assert.Contains(t, shown, string(c.result)+strings.Repeat(" ", 11-len(c.result))+"leak")
			assert.NotContains(t, shown, "does not know")
			_, list, _ := runCommand("due", "-journal", folder, "-machine", machineFile)
			assert.Equal(t, c.result == journal.ProofFailed, strings.Contains(list, `"leak" failed its proof test on `), list)
			assert.Contains(t, list, "no proof test is on record", "one function is no whole proof test")
		})
	}
}

// A report that cannot be written loses no record.
func TestAReportThatCannotBeWrittenLosesNoRecord(t *testing.T) {
	folder, machineFile, answers := proofRig(t, "yes\nskip\n")
	program := &leaky{late: 1}
	code, _, errs := runCommand("prooftest", "-socket", program.serve(t), "-journal", folder, "-machine", machineFile,
		"-answers", answers, "-only", "leak", "-report", filepath.Join(t.TempDir(), "none", "page.txt"))
	assert.Equal(t, 1, code)
	assert.Contains(t, errs, "cannot be written: no such file or directory")
	assert.Len(t, proofRecord(t, folder).Results, 1)
}

func TestProofTestOfAnotherMachine(t *testing.T) {
	folder, machineFile, answers := proofRig(t, "")
	data, err := os.ReadFile(machineFile)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(machineFile, []byte(strings.Replace(string(data), `"slide tank"`, `"horn tank"`, 1)), 0o644))
	program := &leaky{}
	code, _, errs := runCommand("prooftest", "-socket", program.serve(t), "-journal", folder, "-machine", machineFile, "-answers", answers)
	assert.Equal(t, 1, code)
	assert.Contains(t, errs, `the running program watches "slide tank", and the machine file `)
}

// What health and its owner have left in a journal comes back as what is due.
func TestDueGoesByTheJournal(t *testing.T) {
	folder, machineFile, _ := proofRig(t, "")
	data, err := os.ReadFile(machineFile)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(machineFile, bytes.Replace(data, []byte("change_days = 60"), []byte("change_days = 30"), 1), 0o644))
	old := time.Now().Add(-40 * 24 * time.Hour)
	_, err = journal.Submit(journal.Folder(folder), &journal.Entry{Kind: journal.FillKind, Text: "x", Wall: journal.Wall{Time: old}, Note: &journal.Note{ID: "a", Litres: 19.8}})
	require.NoError(t, err)
	code, out, errs := runCommand("due", "-journal", folder, "-machine", machineFile)
	assert.Zero(t, code, errs)
	assert.Equal(t, "no proof test is on record, its interval is 180 days\nno foil test is on record, its interval is 90 days\nthe liquid is due for a change: 40 days in the tank, its limit is 30 days\n", out)
}
