package page

import (
	"bufio"
	"encoding/json"
	"encoding/xml"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/journal"
	"bathtender/firmware/status"
	"bathtender/firmware/status/example"
)

// The whole page must be there without a script, and load itself anew then.
func TestThePageIsWholeWithoutAScript(t *testing.T) {
	r := newRig(t, example.Tripped(), nil)
	page := eventually(t, r.url+"/", "run-on")
	for _, want := range []string{
		"HANDS OUT OF THE BATH: it has 51.3 °C, hot liquid scalds",
		"airflow lost, fan 2: fan 2 at 90 rpm, below its 1500 rpm minimum (its cause still stands)",
		"First cause of the last shutdown: fan 2 at 310 rpm", "fans stop in 1 min 35 s",
		`<noscript><meta http-equiv="refresh" content="10"></noscript>`,
		"bank 3", "out of service", "-39 W", "TOO SLOW", "WITHHELD", "12 days, 3.5 h of emission",
		"<main>", "<nav ", "<h1 ", `aria-live="polite"`, `lang="en"`, "<caption>", `scope="row"`,
		"Nothing can be started, stopped or reset from here",
	} {
		assert.Contains(t, page, want)
	}
	assert.Equal(t, 1, strings.Count(page, "<h1"))
	assert.NotContains(t, page, "style=", "the policy forbids it")
	assert.NotContains(t, page, "onclick", "the policy forbids it")
	assert.NotContains(t, page, "<form", "nothing can be sent")
	assert.NotContains(t, page, "<button", "nothing can be started")
}

func TestNothingFromTheSocketBecomesMarkup(t *testing.T) {
	evil := example.Tripped()
	const script = `<script>alert(1)</script>"'><img src=x onerror=alert(2)>`
	evil.Machine, evil.Session.Recipe, evil.Session.Phase, evil.Origin = script, script, script, script
	evil.Latched[0].Name, evil.Latched[0].Text, evil.FirstOut.Text = script, script, script
	evil.Contacts[0].Name, evil.Permits[0].Why, evil.Care = script, []string{script}, []string{script}
	evil.Recent[0].Text, evil.Recent[0].Kind, evil.Journal = script, script, status.Journal{Why: script}
	r := newRig(t, evil, nil)
	page := eventually(t, r.url+"/", "&lt;script&gt;")
	assert.NotContains(t, page, "<script>alert")
	assert.NotContains(t, page, "<img")
}

func TestAStaleValueIsNeverShown(t *testing.T) {
	r := newRig(t, example.Idle(), nil)
	eventually(t, r.url+"/", "21.4")
	r.program.Close()
	page := eventually(t, r.url+"/", "No word from the program for")
	assert.NotContains(t, page, "21.4")
	assert.NotContains(t, page, "79 W")
	assert.NotContains(t, page, "slide tank")
	assert.Contains(t, page, "HANDS OUT OF THE BATH: nothing is known of the tank")
	_, metrics := get(t, r.url+"/metrics", nil)
	assert.Contains(t, metrics, "bathtender_up 0\n")
	assert.NotContains(t, metrics, "celsius")
	eventually(t, r.url+"/", "nobody answers at "+r.socket+": is the program running?")
}

func TestWhatTheSocketSaysInsteadOfAViewIsTold(t *testing.T) {
	for line, want := range map[string]string{
		"{]\n": "which is no view of a tank",
		`{"error":"16 are watching already, allowed are 16"}` + "\n": "says: 16 are watching already, allowed are 16",
		`{"format":1,"pad":"` + strings.Repeat("x", 1<<20) + "\"}\n": "a line of more than 1048576 bytes",
	} {
		r := newRig(t, example.Idle(), nil)
		r.program.Send(line)
		eventually(t, r.url+"/", want)
		r.program.Show(example.Idle())
		eventually(t, r.url+"/", "slide tank") // it goes on by itself
	}
}

func TestTheStreamSendsWhatHasChanged(t *testing.T) {
	r := newRig(t, example.Clean(), nil)
	eventually(t, r.url+"/", "clean")
	answer, err := http.Get(r.url + "/stream")
	require.NoError(t, err)
	defer answer.Body.Close()
	assert.Equal(t, "text/event-stream", answer.Header.Get("Content-Type"))
	in := bufio.NewReader(answer.Body)
	next := func() map[string]string {
		for {
			line, err := in.ReadString('\n')
			require.NoError(t, err)
			if data, ok := strings.CutPrefix(line, "data: "); ok {
				var parts map[string]string
				require.NoError(t, json.Unmarshal([]byte(data), &parts))
				return parts
			}
		}
	}
	first := next()
	assert.Len(t, first, len(partNames))
	assert.Contains(t, first["state"], "clean")
	for range 3 { // the view stays the same, so nothing is sent, but it is said that all is well
		assert.Empty(t, next())
	}
	r.program.Show(example.Tripped())
	for {
		if parts := next(); parts["state"] != "" {
			assert.Contains(t, parts["state"], "run-on")
			assert.Contains(t, parts["announced"], "airflow lost, fan 2")
			assert.NotContains(t, parts, "trends")
			return
		}
	}
}

func TestTooManyWatchersAreTold(t *testing.T) {
	r := newRig(t, example.Idle(), nil)
	for range streamsMost {
		answer, err := http.Get(r.url + "/stream")
		require.NoError(t, err)
		defer answer.Body.Close()
	}
	answer, text := get(t, r.url+"/stream", nil)
	assert.Equal(t, http.StatusServiceUnavailable, answer.StatusCode)
	assert.Equal(t, "32 pages are watching already, allowed are 32\n", text)
}

func TestTheLogShowsTwoHundredAtATime(t *testing.T) {
	folder := journalOf(t, 450)
	r := newRig(t, example.Idle(), func(c *Config) { c.Journal = folder })
	_, page := get(t, r.url+"/log", nil)
	entries, _, err := journal.All(journal.Folder(folder))
	require.NoError(t, err)
	last := entries[len(entries)-1].Seq
	row := func(seq uint64) string { return fmt.Sprintf(`seq">%d</th>`, seq) }
	assert.Equal(t, 200, strings.Count(page, `<th scope="row"`))
	assert.Contains(t, page, row(last))
	assert.Contains(t, page, row(last-199))
	assert.Less(t, strings.Index(page, row(last)), strings.Index(page, row(last-1)), "newest first")
	assert.Contains(t, page, fmt.Sprintf(`href="/log?before=%d"`, last-199))
	_, page = get(t, fmt.Sprintf("%s/log?before=%d", r.url, last-199), nil)
	assert.Contains(t, page, row(last-200))
	assert.NotContains(t, page, row(last-199))
	_, page = get(t, r.url+"/log?before=3", nil)
	assert.Equal(t, 2, strings.Count(page, `<th scope="row"`))
	assert.NotContains(t, page, "older records")
	for _, bad := range []string{"0", "-1", "x", "99999999999999999999", "1%202"} {
		answer, text := get(t, r.url+"/log?before="+bad, nil)
		assert.Equal(t, http.StatusBadRequest, answer.StatusCode, bad)
		assert.Contains(t, text, "is no number of a record, allowed are whole numbers from 1")
	}
}

func TestATripHasAPicture(t *testing.T) {
	folder := journalWithATrip(t)
	r := newRig(t, example.Idle(), func(c *Config) { c.Journal = folder })
	_, page := get(t, r.url+"/log", nil)
	require.Contains(t, page, `<a href="/record/3.svg">picture of record 3</a>`)
	answer, svg := get(t, r.url+"/record/3.svg", nil)
	assert.Equal(t, "image/svg+xml", answer.Header.Get("Content-Type"))
	assert.Contains(t, svg, example.FanSeized)
	assert.Contains(t, svg, "record 3, 2026-01-05")
	wellFormed(t, svg)
	for path, want := range map[string]string{
		"/record/4.svg":                    "record 4 has no trace",
		"/record/99.svg":                   "there is no record 99 in the journal",
		"/record/0.svg":                    "is no number of a record",
		"/record/..%2F3.svg":               "is no number of a record",
		"/record/18446744073709551615.svg": "is no number of a record",
	} {
		answer, text := get(t, r.url+path, nil)
		assert.Contains(t, []int{http.StatusNotFound, http.StatusBadRequest}, answer.StatusCode)
		assert.Contains(t, text, want)
	}
	require.NoError(t, os.RemoveAll(filepath.Join(folder, "windows")))
	_, text := get(t, r.url+"/record/3.svg", nil)
	assert.Equal(t, "windows/trip-0000000003.csv of record 3 cannot be read: no such file or directory\n", text)
}

// A damaged or forged record must not lead out of the journal's folder.
func TestNoNameLeadsOutOfTheJournal(t *testing.T) {
	assert.Equal(t, "windows/trip-0000000003.csv", tracePath(&journal.Entry{Trip: &journal.Trip{Window: "trip-0000000003.csv"}}))
	assert.Equal(t, "sessions/s.csv", tracePath(&journal.Entry{Session: &journal.SessionFact{Trace: "s.csv"}}))
	for _, name := range []string{"", ".", "..", "../kept.json", "/etc/passwd", `..\kept.json`, "a/b.csv", "a\x00.csv", "a\n.csv", ".hidden"} {
		assert.Empty(t, tracePath(&journal.Entry{Trip: &journal.Trip{Window: name}}), "%q", name)
		assert.Empty(t, tracePath(&journal.Entry{Session: &journal.SessionFact{Trace: name}}), "%q", name)
	}
}

func wellFormed(t *testing.T, text string) {
	t.Helper()
	for in := xml.NewDecoder(strings.NewReader(text)); ; {
		_, err := in.Token()
		if err == io.EOF {
			return
		}
		require.NoError(t, err)
	}
}

func TestTheTrendsOfTheLastSession(t *testing.T) {
	folder := journalWithATrip(t)
	trends := &trends{folder: folder}
	facts, version := trends.get()
	require.Empty(t, facts.Problem)
	var titles []string
	for _, p := range facts.Pictures {
		titles = append(titles, p.Title)
		wellFormed(t, string(p.SVG))
	}
	assert.Equal(t, []string{"bath temperature, °C", "mains power, W", "fan speed, rpm", "cabinet temperature, °C"}, titles)
	// A row that is being written just now is left out; the rest is drawn.
	path := filepath.Join(folder, "sessions", facts.Name)
	file, err := os.OpenFile(path, os.O_APPEND|os.O_WRONLY, 0)
	require.NoError(t, err)
	_, err = file.WriteString("400.0,51.")
	require.NoError(t, err)
	require.NoError(t, file.Close())
	trends.looked = time.Time{}
	facts, again := trends.get()
	assert.NotEqual(t, version, again)
	assert.Empty(t, facts.Problem)
	assert.Len(t, facts.Pictures, 4)
	// One that is broken is told.
	require.NoError(t, os.WriteFile(path, []byte("this is no trace\n1,2,3\n"), 0o644))
	trends.looked = time.Time{}
	facts, _ = trends.get()
	assert.Contains(t, facts.Problem, facts.Name)
	assert.Empty(t, facts.Pictures)
}

func TestWhatIsWrongWithTheJournalIsSaid(t *testing.T) {
	damaged := journalWithATrip(t)
	path := filepath.Join(damaged, "journal-0000000001.jsonl")
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path, []byte(strings.Replace(string(data), "airflow lost", "airflow l0st", 1)+"\x00\x01 half a li"), 0o644))
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o644))
	huge := journalWithATrip(t)
	require.NoError(t, os.Truncate(filepath.Join(huge, "journal-0000000001.jsonl"), 65<<20)) // a sparse file
	for _, c := range []struct {
		folder string
		want   []string
	}{
		{"", []string{"this page was given no journal"}},
		{file, []string{"is no folder, allowed is that of a journal"}},
		{filepath.Join(t.TempDir(), "none"), []string{"cannot be read: no such file or directory"}},
		{t.TempDir(), []string{"There are no records here", "last-record: it is missing"}},
		{damaged, []string{"Damage in the journal", "bytes are no record", "record 3 is missing", "the program starts", "cut short, or being written just now"}},
		{huge, []string{"journal-0000000001.jsonl: it has 68157440 bytes and was not read, allowed are 67108864"}},
	} {
		r := newRig(t, example.Idle(), func(config *Config) { config.Journal = c.folder })
		answer, page := get(t, r.url+"/log", nil)
		assert.Equal(t, http.StatusOK, answer.StatusCode)
		for _, want := range c.want {
			assert.Contains(t, page, want, c.folder)
		}
		eventually(t, r.url+"/", "slide tank") // the tank is to be seen all the same
	}
}
