package journal

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"bathtender/interlock"
)

// tryOut opens a journal of any bytes: nothing panics, what was read is in
// order, and the next record is read back.
func tryOut(t *testing.T, disk *powerDisk) {
	entries, _, err := All(disk)
	require.NoError(t, err)
	for i := 1; i < len(entries); i++ {
		require.Greater(t, entries[i].Seq, entries[i-1].Seq)
	}
	h := &hand{}
	h.book, h.kept = Open(disk, aCabinet(), aDay)
	h.tick(tripped(interlock.Leak, 0, "a leak"))
	again, _, err := All(disk)
	require.NoError(t, err)
	require.Equal(t, "a leak", again[len(again)-1].Text)
}

func FuzzRecords(f *testing.F) {
	disk, _ := aJournal(f)
	f.Add(disk.live[segmentName(1)])
	f.Add([]byte("{}\n\n{"))
	f.Add([]byte(`{"seq":18446744073709551615,"crc":"00000000"}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		tryOut(t, disk.with(segmentName(1), data))
	})
}

func FuzzLastRecord(f *testing.F) {
	disk, _ := aJournal(f)
	f.Add(disk.live[lastName])
	f.Add([]byte{})
	f.Fuzz(func(t *testing.T, data []byte) {
		tryOut(t, disk.with(lastName, data))
	})
}

// Bytes that read as what was kept are such that were written so: anything else
// locks out.
func FuzzKept(f *testing.F) {
	disk, _ := aJournal(f)
	f.Add(disk.live[keptName])
	f.Add([]byte(`{"format":1,"boot":0,"noted":0,"lockouts":[],"record":{},"crc":"00000000"}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		book, kept := Open(disk.with(keptName, data), aCabinet(), aDay)
		if !book.KeptOK() {
			require.True(t, kept.Lockouts.Empty(), "not known, and told so")
			return
		}
		again, err := appendLine(nil, keptOf(kept, book.boot-1, book.noted))
		require.NoError(t, err)
		require.NotEmpty(t, again)
		tryOut(t, disk.with(keptName, data))
	})
}

// A sum that fits lets the fuzzer past the checksum: what is then in the record
// must not panic either.
func FuzzCheckedRecord(f *testing.F) {
	disk, was := aJournal(f)
	for i := range was {
		line, err := appendLine(nil, &was[i])
		require.NoError(f, err)
		f.Add(string(line[:len(line)-sumSize-1]))
	}
	f.Add(`{"seq":0`)
	f.Add(`{"seq":1,"note":{"id":"a"},"kind":"fill"`)
	f.Fuzz(func(t *testing.T, body string) {
		if strings.Contains(body, "\n") || len(body) > 10000 {
			return
		}
		line := withSum(body)
		tryOut(t, disk.with(segmentName(1), line))
		tryOut(t, disk.with("inbox/a.json", line))
		Open(disk.with(keptName, line), aCabinet(), aDay)
	})
}

func FuzzMend(f *testing.F) {
	disk, _ := aJournal(f)
	files, err := disk.List(WindowFolder)
	require.NoError(f, err)
	name := WindowFolder + "/" + files[0].Name
	f.Add(disk.live[name])
	f.Add([]byte("time_s,events\n1,\"a\nb\"\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		good := wholeRows(name, data)
		require.LessOrEqual(t, good, len(data))
		require.Equal(t, good, wholeRows(name, data[:good]), "what is whole stays so")
	})
}
