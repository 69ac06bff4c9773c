package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// floors are the four floors, lowest first. A package imports only from its own
// floor or from floors below it.
var floors = []string{"hal", "interlock", "firmware", "sim"}

// source is one Go file of the tree.
type source struct {
	path string // from the root, with slashes
	dir  string
	test bool
	file *ast.File
	at   *token.FileSet
	size int // in lines
}

// sources reads all Go files of the tree.
func sources(t *testing.T) []source {
	var list []source
	require.NoError(t, filepath.WalkDir("..", func(name string, entry fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if entry.IsDir() && (strings.HasPrefix(entry.Name(), ".") && entry.Name() != ".." || entry.Name() == "run") {
			return filepath.SkipDir
		}
		if entry.IsDir() || !strings.HasSuffix(name, ".go") {
			return nil
		}
		text, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		s := source{path: strings.TrimPrefix(filepath.ToSlash(name), "../"), at: token.NewFileSet(), size: strings.Count(string(text), "\n")}
		s.dir, s.test = path.Dir(s.path), strings.HasSuffix(s.path, "_test.go")
		s.file, err = parser.ParseFile(s.at, s.path, text, parser.ParseComments|parser.SkipObjectResolution)
		list = append(list, s)
		return err
	}))
	require.Greater(t, len(list), 100)
	return list
}

func (s *source) imports() []string {
	var list []string
	for _, i := range s.file.Imports {
		list = append(list, strings.Trim(i.Path.Value, `"`))
	}
	return list
}

// floor returns the place of a folder's floor; -1 for one on none, as testdata.
func floor(dir string) int {
	first, _, _ := strings.Cut(dir, "/")
	return slices.Index(floors, first)
}

func TestNoFloorImportsOneAboveIt(t *testing.T) {
	for _, s := range sources(t) {
		for _, imported := range s.imports() {
			inside, ours := strings.CutPrefix(imported, "bathtender/")
			if !ours {
				continue
			}
			if inside == "testdata" {
				assert.True(t, floor(s.dir) == len(floors)-1 || s.test, "%s carries the demo tank", s.path)
				continue
			}
			require.GreaterOrEqual(t, floor(inside), 0, "%s imports %s, which is on no floor", s.path, imported)
			assert.LessOrEqual(t, floor(inside), floor(s.dir), "%s imports %s, from a floor above it", s.path, imported)
		}
	}
}

// deciding are the packages that decide: the same inputs must always give the same
// outputs, so there is nothing in them that could bring in anything else.
var deciding = []string{"interlock", "firmware/supervisor", "firmware/health", "firmware/recipe", "firmware/thermal"}

// reads is the one file of them that reads a file, before the first tick.
const reads = "firmware/recipe/file.go"

// What a deciding package may import, and what of it only in functions that return
// a text or an error, which are called outside of a tick.
var (
	calm    = []string{"time", "math", "math/bits", "cmp", "slices"}
	telling = []string{"fmt", "strings", "errors", "io"}
)

// unwanted are functions that a decision must not call: a clock, and those of math
// that give other bits on other processors.
var unwanted = map[string][]string{
	"time": {"Now", "Since", "Until", "Sleep", "After", "AfterFunc", "Tick", "NewTicker", "NewTimer"},
	"math": {"Exp", "Exp2", "Expm1", "Pow", "Log", "Log10", "Log1p", "Log2", "Sin", "Cos", "Tan", "Sinh", "Cosh", "Tanh",
		"Asin", "Acos", "Atan", "Atan2", "Cbrt", "Hypot", "Gamma", "Erf", "FMA"},
}

func TestWhatDecidesIsPure(t *testing.T) {
	seen := 0
	for _, s := range sources(t) {
		if s.test || s.path == reads || !slices.Contains(deciding, s.dir) {
			continue
		}
		seen++
		for _, imported := range s.imports() {
			assert.True(t, slices.Contains(calm, imported) || slices.Contains(telling, imported) ||
				strings.HasPrefix(imported, "bathtender/") || strings.HasPrefix(imported, "periph.io/x/conn/"), "%s imports %s", s.path, imported)
		}
		for _, declared := range s.file.Decls {
			s.checkPure(t, declared)
		}
	}
	assert.Greater(t, seen, 30)
	assert.FileExists(t, filepath.Join("..", reads))
}

// tells reports whether a declaration is a function that returns a text or an
// error.
func tells(declared ast.Decl) bool {
	f, ok := declared.(*ast.FuncDecl)
	if !ok || f.Type.Results == nil {
		return false
	}
	for _, result := range f.Type.Results.List {
		of := result.Type
		if list, ok := of.(*ast.ArrayType); ok {
			of = list.Elt
		}
		if name, ok := of.(*ast.Ident); ok && (name.Name == "string" || name.Name == "error") {
			return true
		}
	}
	return false
}

func (s *source) checkPure(t *testing.T, declared ast.Decl) {
	if imports, ok := declared.(*ast.GenDecl); ok && imports.Tok == token.IMPORT {
		return
	}
	tells := tells(declared)
	ast.Inspect(declared, func(n ast.Node) bool {
		place := func() token.Position { return s.at.Position(n.Pos()) }
		switch n := n.(type) {
		case *ast.GoStmt:
			t.Errorf("%s: a goroutine", place())
		case *ast.SelectStmt, *ast.SendStmt, *ast.ChanType:
			t.Errorf("%s: a channel", place())
		case *ast.MapType:
			if !tells {
				t.Errorf("%s: a map, whose order is random", place())
			}
		case *ast.SelectorExpr:
			x, ok := n.X.(*ast.Ident)
			if ok && (slices.Contains(unwanted[x.Name], n.Sel.Name) || !tells && slices.Contains(telling, x.Name)) {
				t.Errorf("%s: %s.%s", place(), x.Name, n.Sel.Name)
			}
		}
		return true
	})
}

func TestEachPackageSaysOnceWhatItIsFor(t *testing.T) {
	docs, names := map[string]int{}, map[string]string{}
	for _, s := range sources(t) {
		if s.test {
			continue
		}
		names[s.dir] = s.file.Name.Name
		if s.file.Doc == nil {
			docs[s.dir] += 0
			continue
		}
		docs[s.dir]++
		begins := "Package " + s.file.Name.Name + " "
		if s.file.Name.Name == "main" {
			begins = "Command "
		}
		assert.True(t, strings.HasPrefix(s.file.Doc.Text(), begins), "%s: its comment does not begin with %q", s.path, begins)
	}
	for dir, count := range docs {
		assert.Equal(t, 1, count, "%s has %d package comments", dir, count)
		assert.NotContains(t, []string{"util", "utils", "common", "helpers", "types", "misc", "base", "shared"}, names[dir], "%s", dir)
		if names[dir] != "main" {
			assert.Equal(t, path.Base(dir), names[dir], "%s", dir)
		}
	}
}

// A letter of another alphabet that looks like one of ours makes a name that
// nobody can type.
func TestIdentifiersAreASCII(t *testing.T) {
	for _, s := range sources(t) {
		ast.Inspect(s.file, func(n ast.Node) bool {
			if name, ok := n.(*ast.Ident); ok {
				for _, c := range name.Name {
					if c > 0x7f {
						t.Errorf("%s: %q", s.at.Position(n.Pos()), name.Name)
						break
					}
				}
			}
			return true
		})
	}
}

// A file holds one idea. Tables of test cases may be longer.
func TestNoFileIsTooLong(t *testing.T) {
	for _, s := range sources(t) {
		most := 400
		if s.test {
			most = 600
		}
		assert.LessOrEqual(t, s.size, most, "%s", s.path)
	}
}

func TestTheRootHoldsTheFloorsAndLittleElse(t *testing.T) {
	allowed := append(slices.Clone(floors), "testdata", "docs", "go.mod", "go.sum", "README.md", "DEVELOPERS.md", "LICENSE", "run")
	entries, err := os.ReadDir("..")
	require.NoError(t, err)
	for _, entry := range entries {
		if !strings.HasPrefix(entry.Name(), ".") {
			assert.Contains(t, allowed, entry.Name())
		}
	}
}
