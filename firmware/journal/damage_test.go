package journal

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/interlock"
)

// aJournal is a journal of several files with all kinds of records, locked out
// at its end.
func aJournal(t testing.TB) (*powerDisk, []Entry) {
	disk := newPowerDisk()
	for range 3 {
		h := begin(t, disk)
		h.book.store.segmentMost = 3000
		h.run(time.Second)
		h.start()
		h.run(12 * time.Second)
		h.tick(tripped(interlock.AirflowLost, 1, "fan 2 at 310 rpm"))
		h.end()
		h.run(time.Second)
		h.lockOut()
		h.run(time.Second)
	}
	list, err := segments(disk)
	require.NoError(t, err)
	require.Greater(t, len(list), 2)
	return disk, all(t, disk)
}

// checkDamaged checks a journal that was changed in one place after it was
// written: what is read back was written, and what is not is named.
func checkDamaged(t *testing.T, how string, disk *powerDisk, was []Entry) bool {
	ok := true
	is := func(condition bool, format string, args ...any) {
		if !condition {
			ok = false
			assert.Fail(t, how+": "+fmt.Sprintf(format, args...))
		}
	}
	entries, damages, err := All(disk)
	require.NoError(t, err)
	text := fmt.Sprint(damages)
	at := 0
	for _, e := range entries {
		for at < len(was) && was[at].Seq < e.Seq {
			at++
		}
		if at == len(was) {
			is(false, "record %d was never written", e.Seq)
			return ok
		}
		is(assert.ObjectsAreEqual(was[at], e), "record %d reads otherwise: %+v", e.Seq, e)
		at++
	}
	is(len(entries) == len(was) || len(damages) > 0, "%d of %d records are gone and nothing is said", len(was)-len(entries), len(was))
	if gone := len(was) - len(entries); gone > 0 {
		is(strings.Contains(text, "missing") || strings.Contains(text, "nobody knows") || strings.Contains(text, "or one more"),
			"%d records are gone: %s", gone, text)
	}
	h := &hand{}
	h.book, h.kept = Open(disk, aCabinet(), aDay)
	is(!h.kept.Lockouts.Empty() || !h.book.KeptOK(), "the lockout reads as clear")
	before := len(entries)
	h.tick(tripped(interlock.Leak, 0, "a leak"))
	is(h.book.OK() || !h.book.KeptOK(), "%s", h.book.Why())
	entries, _, err = All(disk)
	require.NoError(t, err)
	is(len(entries) > before && entries[len(entries)-1].Text == "a leak", "the next record is not read back")
	return ok
}

// damages is how many places are tried; fewer under the race detector and
// emulators.
func damages() int {
	if testing.Short() {
		return 50
	}
	return 500
}

func TestCutAtAnyLength(t *testing.T) {
	disk, was := aJournal(t)
	random := rand.New(rand.NewPCG(1, 1))
	files := disk.recordFiles()
	for range damages() {
		name := files[random.IntN(len(files))]
		data := disk.live[name]
		cut := random.IntN(len(data))
		if !checkDamaged(t, fmt.Sprintf("%s cut to %d of %d bytes", name, cut, len(data)), disk.with(name, data[:cut:cut]), was) {
			return
		}
	}
}

func TestAnyByteFlipped(t *testing.T) {
	disk, was := aJournal(t)
	random := rand.New(rand.NewPCG(2, 2))
	files := disk.recordFiles()
	for range damages() {
		name := files[random.IntN(len(files))]
		data := append([]byte(nil), disk.live[name]...)
		at, bit := random.IntN(len(data)), byte(1)<<random.IntN(8)
		data[at] ^= bit
		if !checkDamaged(t, fmt.Sprintf("%s, byte %d of %d flipped by %02x", name, at, len(data), bit), disk.with(name, data), was) {
			return
		}
	}
}

// The file of what was kept, cut at every length and with every byte changed:
// it must never read as clear.
func TestALockoutNeverReadsAsClear(t *testing.T) {
	disk, _ := aJournal(t)
	whole := disk.live[keptName]
	check := func(data []byte, format string, args ...any) {
		book, kept := Open(disk.with(keptName, data), aCabinet(), aDay)
		require.True(t, !book.KeptOK() || !kept.Lockouts.Empty(), fmt.Sprintf(format, args...))
	}
	for cut := range whole {
		check(whole[:cut:cut], "cut to %d of %d bytes", cut, len(whole))
	}
	for at := range whole {
		for _, flip := range []byte{1, 0x20, 0x80, 0xff} {
			data := append([]byte(nil), whole...)
			data[at] ^= flip
			check(data, "byte %d flipped by %02x", at, flip)
		}
	}
	gone := disk.with(keptName, nil)
	delete(gone.live, keptName)
	book, _ := Open(gone, aCabinet(), aDay)
	require.False(t, book.KeptOK(), "a file that is missing is not a clear one")
}

func TestNothingIsMissingFromAWholeJournal(t *testing.T) {
	disk, was := aJournal(t)
	for i := range disk.recordFiles() {
		name := disk.recordFiles()[i]
		if strings.HasPrefix(name, segmentLead) {
			gone := disk.with(name, nil)
			delete(gone.live, name)
			entries, damages, err := All(gone)
			require.NoError(t, err)
			assert.Less(t, len(entries), len(was))
			assert.Contains(t, fmt.Sprint(damages), "missing", "%s is gone", name)
		}
	}
}
