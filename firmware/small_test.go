package main

import (
	"go/parser"
	"go/token"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The program on the board carries no pictures of the simulator's, and nothing of
// what they take.
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
					assert.True(t, strings.HasPrefix(path, "periph.io/x/conn/") || strings.HasPrefix(path, "github.com/pelletier/go-toml/") ||
						path == "golang.org/x/term", "%s imports %s", name, path)
				}
			}
		}
	}
	walk("firmware")
	assert.Contains(t, seen, "firmware/journal/picture")
	assert.NotContains(t, seen, "sim/report")
}
