package main

import (
	"go/parser"
	"go/token"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// allowed are the modules that the program on the board may be linked with.
var allowed = []string{"periph.io/x/conn/", "periph.io/x/host/", "github.com/pelletier/go-toml/", "golang.org/x/sys/", "golang.org/x/term"}

// The program on the board carries nothing of the simulator, and no library but
// those.
func TestTheProgramStaysSmall(t *testing.T) {
	seen := map[string]bool{}
	var walk func(dir string)
	walk = func(dir string) {
		if seen[dir] {
			return
		}
		seen[dir] = true
		files, err := filepath.Glob(filepath.Join("..", filepath.FromSlash(dir), "*.go"))
		require.NoError(t, err)
		require.NotEmpty(t, files, dir)
		for _, name := range files {
			if strings.HasSuffix(name, "_test.go") {
				continue
			}
			file, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.ImportsOnly)
			require.NoError(t, err)
			for _, i := range file.Imports {
				path := strings.Trim(i.Path.Value, `"`)
				if inside, ours := strings.CutPrefix(path, "bathtender/"); ours {
					walk(inside)
					continue
				}
				first, _, module := strings.Cut(path, "/")
				if module && strings.Contains(first, ".") {
					assert.True(t, slices.ContainsFunc(allowed, func(prefix string) bool { return strings.HasPrefix(path, prefix) }), "%s imports %s", name, path)
				}
			}
		}
	}
	walk("firmware")
	assert.Contains(t, seen, "firmware/journal/picture")
	for dir := range seen {
		assert.False(t, dir == "sim" || strings.HasPrefix(dir, "sim/"), "the program on the board carries %s", dir)
	}
}
