package journal

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/hal"
)

func TestAnUnreadableStateLocksOutUntilItIsStoredAnew(t *testing.T) {
	disk := newPowerDisk()
	h := begin(t, disk)
	h.kept.Record.Banks[0].Baseline = 80
	h.start()
	h.end()
	disk = disk.with(keptName, disk.live[keptName][:40])
	for range 2 { // an unreadable state stays so until the supervisor has locked out
		h = begin(t, disk)
		assert.False(t, h.book.KeptOK())
		assert.EqualValues(t, 80, h.kept.Record.Banks[0].Baseline, "what health kept stands in the records too")
		h.run(time.Second)
		assert.False(t, h.book.KeptOK())
	}
	h.lockOut()
	assert.True(t, h.book.KeptOK())
	entries := all(t, disk)
	assert.Contains(t, texts(entries), "6 damage: kept.json cannot be read: it does not end with its checksum; the machine is locked out")
	assert.EqualValues(t, 3, entries[len(entries)-1].Boot, "the count of starts goes on")
	h = begin(t, disk)
	assert.True(t, h.book.KeptOK())
	assert.False(t, h.kept.Lockouts.Empty())
}

// Owners' notes of the liquid reach what health keeps: while the program runs,
// after a power loss, and where it did not run at all.
func TestWhatTheOwnerDoesToTheLiquidIsKept(t *testing.T) {
	fill := func(kind Kind, id string, litres float64) []byte {
		line, err := appendLine(nil, &Entry{Kind: kind, Text: "by hand", Wall: Wall{aDay}, Note: &Note{ID: id, Litres: litres}})
		require.NoError(t, err)
		return line
	}
	disk := newPowerDisk()
	h := begin(t, disk)
	require.NoError(t, disk.Replace("inbox/a.json", fill(FillKind, "a", 19.8)))
	h.run(5 * time.Second)
	liquid, due := h.book.Liquid()
	assert.True(t, due, "the loop must be told")
	assert.Equal(t, 19800*hal.MilliLitre, liquid.Volume)
	assert.Equal(t, Day(aDay), liquid.Filled)
	files, err := disk.List(inboxFolder)
	require.NoError(t, err)
	assert.Empty(t, files)

	// The supervisor does not know of it yet: what it hands in must not undo it.
	h.lockOut()
	h = begin(t, disk)
	assert.Equal(t, liquid, h.kept.Record.Liquid)
	_, due = h.book.Liquid()
	assert.False(t, due, "the supervisor has it from the start")

	// The same note once more, as after a power loss before it was removed.
	require.NoError(t, disk.Replace("inbox/a.json", fill(FillKind, "a", 19.8)))
	require.NoError(t, disk.Replace("inbox/b.json", fill(TopUpKind, "b", 0.5)))
	require.NoError(t, disk.Replace("inbox/c.json", []byte("nonsense")))
	require.NoError(t, disk.Replace("inbox/d.json.draft", fill(DrainKind, "d", 0)))
	h.run(5 * time.Second)
	liquid, _ = h.book.Liquid()
	assert.Equal(t, 500*hal.MilliLitre, liquid.ToppedUp)
	kinds := map[Kind]int{}
	for _, e := range all(t, disk) {
		kinds[e.Kind]++
	}
	assert.Equal(t, 1, kinds[FillKind])
	assert.Equal(t, 1, kinds[TopUpKind])
	assert.Equal(t, 1, kinds[DamageKind], "nonsense is told")
	assert.Zero(t, kinds[DrainKind], "it is still being written")
}

// A note about the liquid waits for the end of a session, one of another kind
// does not.
func TestTheLiquidWaitsForTheEndOfASession(t *testing.T) {
	disk := newPowerDisk()
	h := begin(t, disk)
	h.start()
	for _, e := range []Entry{
		{Kind: TopUpKind, Text: "topped up", Note: &Note{ID: "a", Litres: 1}},
		{Kind: NoteKind, Text: "it hums", Note: &Note{ID: "b"}},
	} {
		line, err := appendLine(nil, &e)
		require.NoError(t, err)
		require.NoError(t, disk.Replace("inbox/"+e.Note.ID+noteSuffix, line))
	}
	h.run(5 * time.Second)
	assert.Contains(t, texts(all(t, disk)), "3 note: it hums")
	_, due := h.book.Liquid()
	assert.False(t, due)
	h.end()
	h.run(5 * time.Second)
	assert.Contains(t, texts(all(t, disk)), "6 top-up: topped up")
	_, due = h.book.Liquid()
	assert.True(t, due)
}

// What was noted while the program did not run is in the records only; the next
// start brings it into what is kept.
func TestANoteOfAStoppedMachineIsTakenIn(t *testing.T) {
	folder := Folder(t.TempDir())
	require.NoError(t, Create(folder))
	entry := &Entry{Kind: FillKind, Text: "filled", Wall: Wall{aDay}, Note: &Note{ID: "a", Litres: 10}}
	recorded, err := Submit(folder, entry)
	require.NoError(t, err)
	assert.True(t, recorded)
	book, kept := Open(folder, aCabinet(), aDay)
	assert.Equal(t, 10*hal.Litre, kept.Record.Liquid.Volume)
	require.NoError(t, book.Close(aDay))

	lock, err := folder.Lock()
	require.NoError(t, err)
	_, err = folder.Lock()
	require.ErrorIs(t, err, ErrInUse)
	entry = &Entry{Kind: DrainKind, Text: "drained", Wall: Wall{aDay}, Note: &Note{ID: "b"}}
	recorded, err = Submit(folder, entry)
	require.NoError(t, err)
	assert.False(t, recorded, "it waits in the inbox")
	require.NoError(t, lock.Close())
	book, kept = Open(folder, aCabinet(), aDay)
	assert.Zero(t, kept.Record.Liquid)
	_, due := book.Liquid()
	assert.False(t, due, "the supervisor has it from the start")
	require.NoError(t, book.Close(aDay))
	_, err = Submit(folder, &Entry{Kind: NoteKind})
	assert.EqualError(t, err, "the note has no ID")
	_, err = Submit(Folder(t.TempDir()), entry)
	assert.ErrorContains(t, err, "is no journal")
}
