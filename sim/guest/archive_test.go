package guest

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

// The archive is unpacked by cpio, a program that is not ours, to what was put in:
// names and data of all lengths modulo 4, permissions, folders in folders.
func TestTheArchiveIsUnpackedByAnotherProgram(t *testing.T) {
	cpio, err := exec.LookPath("cpio")
	if err != nil {
		missing(t, "there is no cpio")
	}
	files := map[string]File{
		"/a":                    {Data: []byte("1"), Mode: 0o644},
		"/ab":                   {Data: []byte("12"), Mode: 0o600},
		"/abc":                  {Data: []byte("123"), Mode: 0o755},
		"/abcd":                 {Data: []byte("1234"), Mode: 0o444},
		"/empty":                {Mode: 0o644},
		"/folder/in/folder/one": {Data: bytes.Repeat([]byte("x"), 70001), Mode: 0o644},
	}
	var packed, again bytes.Buffer
	require.NoError(t, WriteArchive(&packed, files))
	require.NoError(t, WriteArchive(&again, files))
	require.Equal(t, packed.Bytes(), again.Bytes(), "the same files, other bytes")

	folder := t.TempDir()
	// Nobody but root can make a device; the listing below shows that it is there.
	unpack := exec.Command(cpio, "--quiet", "-id", "--nonmatching", "dev/console")
	unpack.Dir, unpack.Stdin = folder, bytes.NewReader(packed.Bytes())
	out, err := unpack.CombinedOutput()
	require.NoError(t, err, "%s", out)
	for name, f := range files {
		data, err := os.ReadFile(filepath.Join(folder, name))
		require.NoError(t, err)
		require.Equal(t, string(f.Data), string(data), name)
		info, err := os.Stat(filepath.Join(folder, name))
		require.NoError(t, err)
		require.Equal(t, os.FileMode(f.Mode), info.Mode().Perm(), name)
	}
	for _, mounted := range []string{"proc", "sys", "dev", "tmp"} {
		require.DirExists(t, filepath.Join(folder, mounted))
	}

	list := exec.Command(cpio, "--quiet", "-itv", "dev/console")
	list.Stdin = bytes.NewReader(packed.Bytes())
	out, err = list.CombinedOutput()
	require.NoError(t, err, "%s", out)
	// Major 5, minor 1: /dev/console (Documentation/admin-guide/devices.txt of the kernel).
	require.Regexp(t, `^crw------- .* 5, +1 .* dev/console\n$`, string(out))
}
