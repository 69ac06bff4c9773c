package main

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/journal"
)

func TestMoments(t *testing.T) {
	zone := time.FixedZone("", 2*3600)
	now := time.Date(2026, 3, 31, 12, 0, 0, 0, zone)
	for text, want := range map[string][2]string{
		"2026-01-31":          {"2026-01-31 00:00:00", "2026-02-01 00:00:00"},
		" 2026-01-31 14:30 ":  {"2026-01-31 14:30:00", "2026-01-31 14:31:00"},
		"2026-01-31T14:30":    {"2026-01-31 14:30:00", "2026-01-31 14:31:00"},
		"2026-01-31 14:30:59": {"2026-01-31 14:30:59", "2026-01-31 14:31:00"},
		"2024-02-29":          {"2024-02-29 00:00:00", "2024-03-01 00:00:00"},
		"7 days":              {"2026-03-24 12:00:00", "2026-03-24 12:00:00"},
		"1 day":               {"2026-03-30 12:00:00", "2026-03-30 12:00:00"},
		"2 weeks":             {"2026-03-17 12:00:00", "2026-03-17 12:00:00"},
		"36 h":                {"2026-03-30 00:00:00", "2026-03-30 00:00:00"},
		"45 min":              {"2026-03-31 11:15:00", "2026-03-31 11:15:00"},
		"1 h 30 min":          {"2026-03-31 10:30:00", "2026-03-31 10:30:00"},
		"36500 days":          {"1926-04-25 12:00:00", "1926-04-25 12:00:00"},
	} {
		begins, ends, err := parseMoment(text, now, zone)
		require.NoError(t, err, text)
		const form = "2006-01-02 15:04:05"
		assert.Equal(t, want, [2]string{begins.In(zone).Format(form), ends.In(zone).Format(form)}, text)
	}
	for _, text := range []string{"", "7", "0 days", "-7 days", "-36 h", "0 h", "36501 days", "99999999999 days", "2025-02-29", "2026-1-31",
		"2026-01-31 24:00", "2026-01-31 14", "31.01.2026", "yesterday", "7 days 3", "seven days", "2026-01-31 14:30:59.5", "NaN h"} {
		_, _, err := parseMoment(text, now, zone)
		assert.ErrorContains(t, err, "is not a time; allowed are a date as in 2026-01-31", "%q", text)
	}
}

// Help and the journal must name the same kinds.
func TestHelpNamesEveryKind(t *testing.T) {
	_, after, ok := strings.Cut(logMore, "a hyphen for a space:\n")
	require.True(t, ok)
	named, _, ok := strings.Cut(after, "\n-since")
	require.True(t, ok)
	assert.Equal(t, kindWords(journal.Kinds()), strings.Join(strings.Fields(named), " "))
	for _, kind := range journal.Kinds() {
		list, err := parseKinds(kindWord(kind)+","+string(kind), journal.Kinds())
		require.NoError(t, err)
		assert.Equal(t, []journal.Kind{kind, kind}, list)
	}
}

func TestTextsOfNotes(t *testing.T) {
	for _, text := range []string{"a", strings.Repeat("a", 500), strings.Repeat("\u00fc", 500), "60 \u00b0C, \u201chot\u201d"} {
		assert.NoError(t, checkText(text), "%q", text)
	}
	for text, want := range map[string]string{
		"":                       "the text is empty, allowed are 1 to 500 characters",
		" \t":                    "the text is empty, allowed are 1 to 500 characters",
		strings.Repeat("a", 501): "the text has 501 characters, allowed are 1 to 500",
		"two\nlines":             "the text has the control character U+000A in it, allowed is one line of plain text",
		"\x1b[31mred":            "the text has the control character U+001B in it, allowed is one line of plain text",
		"\u0085":                 "the text is empty, allowed are 1 to 500 characters",
		"a\u0085b":               "the text has the control character U+0085 in it, allowed is one line of plain text",
		"a\xffb":                 `the text "a\xffb" is not UTF-8, allowed is text in UTF-8`,
	} {
		assert.EqualError(t, checkText(text), want)
	}
}

// A note's name sorts by its time, and no two have the same.
func TestNamesOfNotes(t *testing.T) {
	now := time.Date(2026, 1, 31, 23, 59, 59, 999e6, time.FixedZone("", 3600))
	var names []string
	for i := range 100 {
		name, err := noteID(now.Add(time.Duration(i) * time.Millisecond))
		require.NoError(t, err)
		names = append(names, name)
	}
	assert.True(t, slices.IsSorted(names))
	assert.Regexp(t, `^20260131T225959\.999-[0-9a-f]{16}$`, names[0])
	again, err := noteID(now)
	require.NoError(t, err)
	assert.NotEqual(t, names[0], again)
}

// What follows a record: the same run within ten minutes, and the next start
// where the run has ended by then.
func TestWhatFollowed(t *testing.T) {
	entry := func(seq uint64, boot uint32, mono time.Duration, kind journal.Kind) journal.Entry {
		return journal.Entry{Seq: seq, Boot: boot, Mono: journal.Seconds(mono), Kind: kind,
			Wall: journal.Wall{Time: time.Date(2026, 1, int(boot), 0, 0, 0, 0, time.UTC).Add(mono)}}
	}
	owners := func(seq uint64, boot uint32, after time.Duration) journal.Entry {
		e := entry(seq, boot, 0, journal.NoteKind)
		e.Wall.Time, e.Note = e.Wall.Add(after), &journal.Note{ID: "a"}
		return e
	}
	for what, c := range map[string]struct {
		entries []journal.Entry
		want    []uint64
	}{
		"within ten minutes": {[]journal.Entry{
			entry(1, 1, time.Hour, journal.TripKind), entry(2, 1, time.Hour, journal.SessionKind), entry(3, 1, time.Hour+10*time.Minute, journal.ResetKind),
			entry(4, 1, time.Hour+10*time.Minute+1, journal.NoteKind), entry(5, 2, 0, journal.BootKind)}, []uint64{2, 3}},
		"up to the next start": {[]journal.Entry{
			entry(1, 1, time.Hour, journal.TripKind), entry(2, 1, time.Hour+1, journal.SessionKind), entry(3, 2, 0, journal.BootKind),
			entry(4, 2, 1, journal.StartKind)}, []uint64{2, 3}},
		"what is noted in between": {[]journal.Entry{
			entry(1, 1, time.Hour, journal.TripKind), owners(2, 1, time.Hour+5*time.Minute), owners(3, 1, 2*time.Hour), entry(4, 2, 0, journal.BootKind)}, []uint64{2}},
		"nothing": {[]journal.Entry{entry(1, 1, time.Hour, journal.TripKind)}, nil},
	} {
		f := finding{number: 1}
		for i := range c.entries {
			require.True(t, f.take(&c.entries[i], nil))
		}
		var got []uint64
		for _, one := range f.after {
			got = append(got, one.entry.Seq)
		}
		assert.Equal(t, c.want, got, what)
	}
}

// A name with a folder in it is not followed out of the journal.
func TestTracesAreOnlyLookedForInTheJournal(t *testing.T) {
	for _, name := range []string{"../kept.json", `..\kept.json`, "/etc/hostname", "trip\x1b.csv", ""} {
		assert.Nil(t, traceOf(&journal.Entry{Kind: journal.TripKind, Trip: &journal.Trip{Window: name}}), "%q", name)
		assert.Nil(t, traceOf(&journal.Entry{Kind: journal.SessionKind, Session: &journal.SessionFact{Trace: name}}), "%q", name)
	}
	assert.Equal(t, "windows/trip-0000000003.csv", traceOf(&journal.Entry{Trip: &journal.Trip{Window: "trip-0000000003.csv"}}).path())
}

func FuzzMoment(f *testing.F) {
	for _, text := range []string{"2026-01-31", "2026-01-31 14:30", "7 days", "36 h", "1 h 30 min", "x", ""} {
		f.Add(text)
	}
	now := time.Date(2026, 3, 31, 12, 0, 0, 0, time.UTC)
	f.Fuzz(func(t *testing.T, text string) {
		begins, ends, err := parseMoment(text, now, time.UTC)
		if err != nil {
			checkSentence(t, err.Error())
			return
		}
		assert.False(t, ends.Before(begins))
		assert.True(t, ends.Sub(begins) <= 24*time.Hour)
	})
}

func FuzzKinds(f *testing.F) {
	for _, text := range []string{"trip", "trip,lockout", "foil-test, proof test", "tripp", ",", "\x00"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		list, err := parseKinds(text, journal.Kinds())
		if err != nil {
			checkSentence(t, err.Error())
			return
		}
		assert.Len(t, list, strings.Count(text, ",")+1)
		for _, kind := range list {
			assert.Contains(t, journal.Kinds(), kind)
		}
	})
}

func FuzzLitres(f *testing.F) {
	for _, text := range []string{"19.8", "0", "1000", "1e3", "0x1p3", "NaN", ".", "1..2", "0.0000001"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		litres, err := parseLitres(text)
		if err != nil {
			checkSentence(t, err.Error())
			return
		}
		assert.True(t, litres > 0 && litres <= 1000)
		assert.Equal(t, "", strings.Trim(text, "0123456789."))
	})
}

// A record of any content is shown on lines of its own, and without what a
// terminal would obey.
func FuzzRecord(f *testing.F) {
	f.Add([]byte(`{"seq":3,"wall":"2026-01-05T08:01:02.200Z","mono_s":62.2,"boot":1,"kind":"trip","text":"a","trip":{"function":"airflow lost","place":2,"window":"w.csv","readings":{"bath_a_degC":60,"bath_a_age_s":0.3,"fan_1_rpm":5,"out_banks":"110","level_ok":"1"}}}`))
	f.Add([]byte(`{"seq":1,"kind":"session","session":{"recipe":"a","banks":[{"bank":1,"W":80,"baseline_W":0}],"trips":{"a":1}},"kept":{"lockouts":[{"function":"b"}],"record":{"banks":[{"bank":1}]}},"files":["x"]}`))
	f.Add([]byte(`{"seq":1,"kind":"start","mono_s":1,"trip":{"function":"airflow lost","place":99,"window":"w\u001b.csv"},"machine":"\u001b","program":"\u001b","recipe":"\u001b","lost":{"why":"\u001b"}}`))
	f.Add([]byte(`{"seq":1,"text":"\u001b[31m\n","colour":{"red":1},"trip":{"depth":[1,2],"readings":[1]},"note":{"id":"a","passed":true}}`))
	f.Fuzz(func(t *testing.T, line []byte) {
		var e journal.Entry
		if json.Unmarshal(line, &e) != nil {
			return
		}
		var out strings.Builder
		p := &page{plain: plain{out: &out, zone: time.UTC}, disk: journal.Folder(t.TempDir()), finding: &finding{record: &record{e, line}}}
		p.load()
		p.show()
		require.NoError(t, p.err)
		p.row("1", &e)
		for _, c := range out.String() {
			require.True(t, c == '\n' || unicode.IsPrint(c), "%q in %q", c, out.String())
		}
		require.NoError(t, newTable(&out).put(&record{e, line}))
	})
}

// checkSentence checks that an error is one line of plain text.
func checkSentence(t *testing.T, text string) {
	assert.NotContains(t, text, "\n")
	assert.Less(t, len(text), 600)
	for _, c := range text {
		assert.True(t, unicode.IsPrint(c), "%q", c)
	}
}
