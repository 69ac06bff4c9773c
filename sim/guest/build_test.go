package guest

import (
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// root is the folder of the module.
const root = "../.."

// program builds a program of this project for the guest.
func program(t *testing.T, pkg string, flags ...string) File {
	t.Helper()
	return build(t, pkg, append([]string{"build"}, flags...)...)
}

// testProgram builds the tests of a package as a program for the guest.
func testProgram(t *testing.T, pkg string) File {
	t.Helper()
	return build(t, pkg, "test", "-c")
}

func build(t *testing.T, pkg string, verb ...string) File {
	t.Helper()
	dependOnSources(t)
	out := filepath.Join(t.TempDir(), "program")
	c := exec.Command("go", append(verb, "-buildvcs=false", "-trimpath", "-ldflags=-s -w", "-o", out, pkg)...)
	c.Dir = root
	c.Env = append(os.Environ(), "CGO_ENABLED=0", "GOOS=linux", "GOARCH=amd64", "GOFLAGS=")
	said, err := c.CombinedOutput()
	require.NoError(t, err, "go %s %s: %s", strings.Join(verb, " "), pkg, said)
	data, err := os.ReadFile(out)
	if os.IsNotExist(err) {
		return File{} // a package without tests
	}
	require.NoError(t, err)
	return File{Data: data, Mode: 0o755}
}

// dependOnSources looks at all sources of the module. What a test has looked at by
// itself decides whether its last result may be taken for a new one; what it has had
// built does not.
func dependOnSources(t *testing.T) {
	t.Helper()
	require.NoError(t, filepath.WalkDir(root, func(path string, entry fs.DirEntry, err error) error {
		if err == nil && (strings.HasSuffix(path, ".go") || strings.HasSuffix(path, ".toml")) {
			_, err = os.Stat(path)
		}
		return err
	}))
}

// withLibraries returns a program of the machine that the tests run on, by the same
// path, with all libraries that it is linked with.
func withLibraries(t *testing.T, path string) map[string]File {
	t.Helper()
	files := map[string]File{}
	add := func(path string) {
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		files[path] = File{Data: data, Mode: 0o755}
	}
	add(path)
	out, err := exec.Command("ldd", path).CombinedOutput()
	if err != nil {
		require.Contains(t, string(out), "not a dynamic executable", "ldd %s: %v", path, err)
		return files
	}
	for word := range strings.FieldsSeq(string(out)) {
		if strings.HasPrefix(word, "/") {
			add(word)
		}
	}
	return files
}
