package journal

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
)

// lines returns records of numbers as the lines of a file.
func lines(t *testing.T, numbers ...uint64) []byte {
	var data []byte
	for _, n := range numbers {
		line, err := appendLine(nil, &Entry{Seq: n, Kind: NoteKind, Text: fmt.Sprint("note ", n), Wall: Wall{aDay}})
		require.NoError(t, err)
		data = append(data, line...)
	}
	return data
}

// diskOf returns a disk with a first file of records, and its last number.
func diskOf(t *testing.T, data []byte, last uint64) *powerDisk {
	disk := newPowerDisk()
	disk.live[segmentName(1)] = data
	whole, err := newLast(last)
	require.NoError(t, err)
	disk.live[lastName] = whole
	return disk
}

// Each kind of damage in a sentence with its place.
func TestDamageIsNamed(t *testing.T) {
	good := lines(t, 1, 2, 3)
	at := bytes.Index(good, []byte("note 2"))
	flipped := bytes.Replace(good, []byte("note 2"), []byte("note 7"), 1)
	for _, c := range []struct {
		what  string
		disk  *powerDisk
		read  string
		wants []string
	}{
		{"whole", diskOf(t, good, 3), "1 2 3", nil},
		{"one more than was counted", diskOf(t, good, 2), "1 2 3", nil},
		{"empty", diskOf(t, nil, 0), "", nil},
		{"flipped", diskOf(t, flipped, 3), "1 3", []string{
			"journal-0000000001.jsonl:2: 136 bytes are no record: its checksum does not fit",
			"journal-0000000001.jsonl:3: record 2 is missing"}},
		{"cut", diskOf(t, good[:at], 3), "1", []string{
			"journal-0000000001.jsonl:2: the last 111 bytes are no record: cut short, or being written just now",
			"last-record: records 2 to 3 are missing at the end"}},
		{"cut at a line end", diskOf(t, lines(t, 1), 3), "1", []string{"last-record: records 2 to 3 are missing at the end"}},
		{"without its last line end", diskOf(t, good[:len(good)-1], 3), "1 2 3", nil},
		{"a gap", diskOf(t, lines(t, 1, 4, 5), 5), "1 4 5", []string{"journal-0000000001.jsonl:2: records 2 to 3 are missing"}},
		{"a record twice", diskOf(t, lines(t, 1, 2, 2, 3), 3), "1 2 3", []string{"journal-0000000001.jsonl:3: record 2 stands where record 3 is expected"}},
		{"back in time", diskOf(t, lines(t, 1, 2, 3, 2), 3), "1 2 3", []string{"journal-0000000001.jsonl:4: record 2 stands where record 4 is expected"}},
		{"text", diskOf(t, append(lines(t, 1), "hello\n"...), 1), "1", []string{"journal-0000000001.jsonl:2: 5 bytes are no record: it does not end with its checksum"}},
		{"too long", diskOf(t, append(bytes.Repeat([]byte("x"), lineMost+1), '\n'), 0), "", []string{
			"journal-0000000001.jsonl:1: 65537 bytes are no record: a record has 65536 bytes at most"}},
		{"no last record", diskOf(t, good, 3).without(lastName), "1 2 3", []string{
			"last-record: it is missing, so nobody knows how many records there should be"}},
		{"last record in half", diskOf(t, good, 3).with(lastName, append(bytes.Repeat([]byte(" "), lastPlace), must(newLast(3))[lastPlace:]...)), "1 2 3", []string{
			"last-record: it is damaged in one of its two places; there should be 3 records or one more"}},
		{"last record gone", diskOf(t, good, 3).with(lastName, []byte("3\n")), "1 2 3", []string{
			"last-record: it is damaged, so nobody knows how many records there should be"}},
	} {
		t.Run(c.what, func(t *testing.T) {
			entries, damages, err := All(c.disk)
			require.NoError(t, err)
			var read, texts []string
			for _, e := range entries {
				read = append(read, fmt.Sprint(e.Seq))
			}
			for _, d := range damages {
				texts = append(texts, d.String())
			}
			assert.Equal(t, c.read, strings.Join(read, " "))
			assert.Equal(t, c.wants, texts)
		})
	}
}

func must(data []byte, _ error) []byte { return data }

func (d *powerDisk) without(name string) *powerDisk {
	next := d.with(name, nil)
	delete(next.live, name)
	return next
}

// A newer version may know more kinds and members. What it has written is read
// as far as it is known here.
func TestARecordOfANewerVersionIsRead(t *testing.T) {
	line, err := appendLine(nil, map[string]any{
		"seq": 1, "wall": "2031-01-31T12:00:00.000Z", "mono_s": 1.5, "boot": 9, "program": "7.0", "machine": "m",
		"kind": "rinse", "text": "rinsed", "colour": map[string]int{"red": 1}, "trip": map[string]any{"function": "new one", "depth": 3},
	})
	require.NoError(t, err)
	entries := all(t, diskOf(t, line, 1))
	require.Len(t, entries, 1)
	assert.Equal(t, Kind("rinse"), entries[0].Kind)
	assert.Equal(t, "new one", entries[0].Trip.Function)
	assert.Equal(t, "rinsed", entries[0].Text)
}

// Numbers that are gone are not given again, whatever of the journal is gone: a
// window of an old record must not be taken for that of a new one.
func TestNumbersAreNeverGivenTwice(t *testing.T) {
	disk, was := aJournal(t)
	last := was[len(was)-1].Seq
	for _, name := range disk.recordFiles() {
		if name != keptName {
			disk = disk.without(name)
		}
	}
	disk = disk.with(lastName, must(newLast(0)))
	windows, err := disk.List(WindowFolder)
	require.NoError(t, err)
	newest, ok := numberOf(strings.TrimSuffix(windows[len(windows)-1].Name, "-metadata.json"))
	require.True(t, ok)
	require.Greater(t, newest, last-6)
	h := begin(t, disk)
	h.tick()
	entries, _, err := All(disk)
	require.NoError(t, err)
	assert.Greater(t, entries[0].Seq, newest)
}

// What is stored in kept.json comes back; what is not known for certain is
// refused.
func TestKeptIsRestoredOrRefused(t *testing.T) {
	h := begin(t, newPowerDisk())
	h.lockOut()
	require.NoError(t, h.kept.Record.TakeOut(2))
	h.kept.Record.Banks[1].Baseline, h.kept.Record.Banks[1].Sessions = 80, 4
	h.kept.Record.Banks[1].Recent[23], h.kept.Record.Banks[1].Recent[22] = 79, 0
	h.kept.Record.Banks[1].Cusum.LowerCount = 3
	h.kept.Record.Liquid.Volume = 19 * hal.Litre
	stored := keptOf(h.kept, 5, 6)
	back, err := stored.restore()
	require.NoError(t, err)
	back.Today = h.kept.Today
	assert.Equal(t, h.kept, back)

	for want, spoil := range map[string]func(*Kept){
		"it has the form 2, this version reads 1":                                           func(k *Kept) { k.Format = 2 },
		"it has the form 0, this version reads 1":                                           func(k *Kept) { k.Format = 0 },
		"it lacks its lockouts or its record":                                               func(k *Kept) { k.Lockouts = nil },
		`it names the lockout "new one", place 0, which this version does not have`:         func(k *Kept) { k.Lockouts[0].Function = "new one" },
		`it names the lockout "bath high limit", place 1, which this version does not have`: func(k *Kept) { k.Lockouts[0].Place = 1 },
		`it names the lockout "stop", place 0, which this version does not have`:            func(k *Kept) { k.Lockouts[0].Function = "stop" },
		"bank 17 does not exist, allowed is 1 to 16":                                        func(k *Kept) { k.Record.OutOfService = []int{17} },
		"bank 0 does not exist, allowed is 1 to 16":                                         func(k *Kept) { k.Record.Banks[0].Bank = 0 },
		"bank 2 has 25 recent sessions, at most 24 are kept": func(k *Kept) {
			k.Record.Banks[0].Recent = append(k.Record.Banks[0].Recent, make([]physic.Power, 24)...)
		},
	} {
		k := keptOf(h.kept, 5, 6)
		spoil(k)
		_, err := k.restore()
		assert.EqualError(t, err, want)
	}
	k := keptOf(h.kept, 5, 6)
	k.Record = nil
	_, err = k.restore()
	assert.Error(t, err)
}
