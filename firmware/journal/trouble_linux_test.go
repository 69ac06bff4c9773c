package journal

import (
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The troubles of a real file system: each tried for real, each told in a clear
// sentence, each made up for when it is over.

// smallDisk mounts a file system in memory of a few pages. Only root may.
func smallDisk(t *testing.T) Folder {
	folder := t.TempDir()
	if err := syscall.Mount("tmpfs", folder, "tmpfs", 0, "size=160k"); err != nil {
		if os.Getenv("BATHTENDER_CI") != "" {
			t.Fatalf("a small disk cannot be mounted: %v", err)
		}
		t.Skipf("a small disk cannot be mounted: %v", err)
	}
	t.Cleanup(func() { _ = syscall.Unmount(folder, syscall.MNT_DETACH) })
	return Folder(folder)
}

// recovers checks that the book is well again and has all that happened.
func recovers(t *testing.T, h *hand, folder Folder) {
	h.run(6 * time.Second)
	require.True(t, h.book.OK(), h.book.Why())
	assert.Contains(t, strings.Join(texts(all(t, folder)), "\n"), "lockout: the bath is too hot")
	_, kept := Open(folder, aCabinet(), aDay)
	assert.False(t, kept.Lockouts.Empty())
}

func TestAFullDisk(t *testing.T) {
	folder := smallDisk(t)
	h := begin(t, folder)
	h.run(time.Second)
	filler := folder.path("filler")
	file, err := os.Create(filler)
	require.NoError(t, err)
	for err == nil {
		_, err = file.Write(make([]byte, 4096))
	}
	require.ErrorIs(t, err, syscall.ENOSPC)
	file.Close()
	h.lockOut()
	assert.False(t, h.book.OK())
	assert.Equal(t, "the journal cannot be written: kept.json cannot be stored: no space left on device", h.book.Why())
	require.NoError(t, os.Remove(filler))
	recovers(t, h, folder)
}

func TestADiskThatIsReadOnly(t *testing.T) {
	folder := smallDisk(t)
	h := begin(t, folder)
	require.NoError(t, h.book.Close(aDay))
	require.NoError(t, syscall.Mount("", string(folder), "", syscall.MS_REMOUNT|syscall.MS_RDONLY, ""))
	h = begin(t, folder)
	h.lockOut()
	assert.False(t, h.book.OK())
	assert.Equal(t, "the journal cannot be written: kept.json cannot be stored: read-only file system", h.book.Why())
	assert.True(t, h.book.KeptOK(), "it could be read")
	require.NoError(t, syscall.Mount("", string(folder), "", syscall.MS_REMOUNT, ""))
	h.run(9 * time.Second)
	require.True(t, h.book.OK(), h.book.Why())
	_, kept := Open(folder, aCabinet(), aDay)
	assert.False(t, kept.Lockouts.Empty())
	var lost []string
	for _, e := range all(t, folder) {
		if e.Kind == LostKind {
			lost = append(lost, e.Text)
		}
	}
	assert.Equal(t, []string{"1 event and 0 rows could not be recorded: the journal is not open"}, lost)
}

func TestAFolderWithoutPermission(t *testing.T) {
	folder := Folder(filepath.Join(t.TempDir(), "journal"))
	require.NoError(t, os.Mkdir(string(folder), 0o755))
	h := begin(t, folder)
	h.run(time.Second)
	require.NoError(t, os.Chmod(string(folder), 0o555))
	// Root may write everywhere; this thread acts as somebody else for a while.
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	if os.Geteuid() == 0 {
		require.NoError(t, syscall.Setfsuid(65534))
	}
	h.lockOut()
	why := h.book.Why()
	if os.Geteuid() == 0 {
		require.NoError(t, syscall.Setfsuid(0))
	}
	assert.Equal(t, "the journal cannot be written: kept.json cannot be stored: permission denied", why)
	require.NoError(t, os.Chmod(string(folder), 0o755))
	recovers(t, h, folder)
}

// A folder that vanishes is noticed although nothing is written, and nothing is
// written to files that nobody will find.
func TestAFolderThatVanishes(t *testing.T) {
	folder := Folder(filepath.Join(t.TempDir(), "journal"))
	require.NoError(t, os.Mkdir(string(folder), 0o755))
	h := begin(t, folder)
	h.run(time.Second)
	away := string(folder) + ".away"
	require.NoError(t, os.Rename(string(folder), away))
	h.run(3 * time.Second)
	assert.Equal(t, "the journal cannot be written: last-record cannot be read: no such file or directory", h.book.Why())
	h.lockOut()
	assert.False(t, h.book.OK())
	h.run(6 * time.Second)
	assert.Equal(t, "the journal cannot be written: kept.json cannot be stored: no such file or directory", h.book.Why())
	require.NoError(t, os.Rename(away, string(folder)))
	recovers(t, h, folder)
}

// A file that is moved away or replaced under the program's hands.
func TestAFileThatIsReplaced(t *testing.T) {
	folder := Folder(t.TempDir())
	h := begin(t, folder)
	h.run(time.Second)
	name := folder.path(segmentName(1))
	require.NoError(t, os.Rename(name, name+".old"))
	h.lockOut()
	assert.Equal(t, "the journal cannot be written: journal-0000000001.jsonl cannot be made durable: no such file or directory", h.book.Why())
	h.run(6 * time.Second)
	assert.True(t, h.book.OK(), h.book.Why())
	entries, damages, err := All(folder)
	require.NoError(t, err)
	assert.Equal(t, []string{"2 lockout: the bath is too hot"}, texts(entries))
	require.Len(t, damages, 1)
	assert.Equal(t, "journal-0000000001.jsonl:2: record 1 is missing", damages[0].String())
}
