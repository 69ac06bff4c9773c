package main

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/cli"
	"bathtender/firmware/journal"
)

// bathtender runs one command line and returns its exit status and what it
// printed.
func bathtender(args ...string) (code int, out, errs string) {
	var o, e bytes.Buffer
	code = command(cli.Streams{In: strings.NewReader(""), Out: &o, Err: &e}, args)
	return code, o.String(), e.String()
}

func madeJournal(t *testing.T, steps ...string) string {
	folder := filepath.Join(t.TempDir(), "j")
	require.NoError(t, build(folder, steps...))
	return folder
}

// digest returns a sum of all there is in a folder: names, modes, times of
// change and contents.
func digest(t *testing.T, folder string) string {
	sum := sha256.New()
	require.NoError(t, filepath.WalkDir(folder, func(path string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		info, err := entry.Info()
		if err != nil {
			return err
		}
		fmt.Fprintln(sum, path, info.Mode(), info.ModTime().UnixNano())
		if entry.IsDir() {
			return nil
		}
		data, err := os.ReadFile(path)
		sum.Write(data)
		return err
	}))
	return fmt.Sprintf("%x", sum.Sum(nil))
}

// Reading changes nothing, whatever is asked, of a whole journal and of damaged
// ones.
func TestReadingChangesNothing(t *testing.T) {
	for what, spoil := range map[string]func(folder string) error{
		"whole":   func(string) error { return nil },
		"waiting": func(folder string) error { return build(folder, "waiting") },
		"cut": func(folder string) error {
			return os.Truncate(filepath.Join(folder, "journal-0000000001.jsonl"), 1500)
		},
		"no window": func(folder string) error { return os.RemoveAll(filepath.Join(folder, "windows")) },
		"no count":  func(folder string) error { return os.Remove(filepath.Join(folder, "last-record")) },
		"no lock":   func(folder string) error { return os.RemoveAll(filepath.Join(folder, "lock")) },
	} {
		folder := madeJournal(t)
		require.NoError(t, spoil(folder))
		before := digest(t, folder)
		picture := filepath.Join(t.TempDir(), "a.svg")
		for _, args := range [][]string{
			{}, {"-last", "0"}, {"-kind", "trip"}, {"-json"}, {"-csv"}, {"-show", "3"}, {"-show", "4"}, {"-show", "99"},
			{"-show", "3", "-picture", picture}, {"-show", "3", "-picture", filepath.Join(folder, "a.svg")},
		} {
			code, _, errs := bathtender(append([]string{"log", "-journal", folder}, args...)...)
			assert.Equal(t, code != 0, errs != "", "%s, %v", what, args)
			require.Equal(t, before, digest(t, folder), "%s, %v", what, args)
		}
	}
}

// A journal is read while a program writes it: what is being written may be
// missing, never what was there before.
func TestAJournalThatIsBeingWrittenIsRead(t *testing.T) {
	folder := madeJournal(t)
	lock, err := journal.Folder(folder).Lock()
	require.NoError(t, err)
	defer lock.Close()
	path := filepath.Join(folder, "journal-0000000001.jsonl")
	whole, err := os.ReadFile(path)
	require.NoError(t, err)
	lines := bytes.SplitAfter(whole, []byte("\n"))
	last := lines[len(lines)-2] // the text after the last line end is empty
	require.Greater(t, len(last), 100)
	for cut := range last {
		require.NoError(t, os.Truncate(path, int64(len(whole)-len(last)+cut)))
		code, out, errs := bathtender("log", "-journal", folder)
		switch cut {
		case 0:
			assert.Contains(t, errs, "record 10 is missing at the end")
		case len(last) - 1: // all but its line end
			assert.Zero(t, code)
			assert.Equal(t, 10, strings.Count(out, "\n"))
			continue
		default:
			require.Contains(t, errs, fmt.Sprintf("journal-0000000001.jsonl:10: the last %d bytes are no record: cut short, or being written just now", cut))
		}
		require.Equal(t, cli.Failed, code)
		require.Equal(t, 9, strings.Count(out, "\n"))
		require.NoError(t, os.WriteFile(path, whole, 0o644))
	}
}

// A note for a running program waits, is shown as waiting, and is recorded once
// the program has taken it in.
func TestANoteWaitsForARunningProgram(t *testing.T) {
	folder := madeJournal(t)
	lock, err := journal.Folder(folder).Lock()
	require.NoError(t, err)
	code, out, errs := bathtender("note", "it hums", "-journal", folder)
	require.Zero(t, code, errs)
	assert.Equal(t, "the note waits in the inbox, until the program that writes this journal takes it in\n", out)
	_, out, _ = bathtender("log", "-journal", folder, "-last", "1")
	assert.Regexp(t, `(?m)^waiting  \S+ \S+ +note +it hums$`, out)
	require.NoError(t, lock.Close())

	require.NoError(t, build(folder, "boot", "run=5s", "close"))
	code, out, errs = bathtender("log", "-journal", folder, "-kind", "note")
	require.Zero(t, code, errs)
	assert.Regexp(t, `^ +\d+  \S+ \S+ +note +it hums\n$`, out)
	files, err := journal.Folder(folder).List("inbox")
	require.NoError(t, err)
	assert.Empty(t, files)
}

// A note that is taken in while the journal is read is told once.
func TestANoteIsNotToldTwice(t *testing.T) {
	folder := madeJournal(t, "fill")
	data, err := os.ReadFile(filepath.Join(folder, "journal-0000000001.jsonl"))
	require.NoError(t, err)
	require.NoError(t, os.Mkdir(filepath.Join(folder, "inbox"), 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(folder, "inbox", "fill0105.json"), data, 0o644))
	code, out, errs := bathtender("log", "-journal", folder)
	require.Zero(t, code, errs)
	assert.Equal(t, 1, strings.Count(out, "fresh water"))
	assert.NotContains(t, out, "waiting")
}

// Times are those of the local zone, and -utc is UTC.
func TestTimesAreLocal(t *testing.T) {
	was := time.Local
	time.Local = time.FixedZone("TST", 5*3600+1800)
	defer func() { time.Local = was }()
	folder := madeJournal(t)
	_, out, _ := bathtender("log", "-journal", folder, "-kind", "trip")
	assert.Contains(t, out, "2026-01-05 13:31:02 ")
	_, out, _ = bathtender("log", "-journal", folder, "-kind", "trip", "-utc")
	assert.Contains(t, out, "2026-01-05 08:01:02 ")
	_, out, _ = bathtender("log", "-journal", folder, "-show", "3")
	assert.Contains(t, out, "2026-01-05 13:31:02.200 TST")
	_, out, _ = bathtender("log", "-journal", folder, "-since", "2026-01-05 13:31", "-until", "2026-01-05 13:31")
	assert.Equal(t, 3, strings.Count(out, "\n"))
	_, out, _ = bathtender("log", "-journal", folder, "-since", "2026-01-05 08:01", "-until", "2026-01-05 08:01", "-utc")
	assert.Equal(t, 3, strings.Count(out, "\n"))
}

// What could not be printed must not pass for what was.
func TestAFullDiskUnderStandardOutputIsToldOf(t *testing.T) {
	folder := madeJournal(t)
	for _, args := range [][]string{{}, {"-json"}, {"-csv"}, {"-show", "3"}, {"-last", "0"}} {
		var errs bytes.Buffer
		code := command(cli.Streams{Out: fullDisk{}, Err: &errs}, append([]string{"log", "-journal", folder}, args...))
		assert.Equal(t, cli.Failed, code, "%v", args)
		assert.Contains(t, errs.String(), "no space left on device", "%v", args)
	}
}

type fullDisk struct{}

func (fullDisk) Write([]byte) (int, error) { return 0, fmt.Errorf("no space left on device") }
