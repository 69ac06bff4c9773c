package bench

import (
	"bytes"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"bathtender/firmware/machine"
	"bathtender/firmware/recipe"
	"bathtender/firmware/setup"
	"bathtender/hal"
	"bathtender/interlock"
	"bathtender/sim/report"
	"bathtender/sim/scenario"
	"bathtender/testdata"
)

// load makes the cabinet of files; the demo tank and its recipes stand in for
// what is not named.
func load(machineFile string, recipeFiles []string) (c Cabinet, err error) {
	read := os.ReadFile
	if machineFile == "" {
		read, machineFile = testdata.FS.ReadFile, "machines/slide-tank.toml"
	}
	data, err := read(machineFile)
	if err != nil {
		return c, err
	}
	if c.Machine, err = machine.Parse(machineFile, data); err != nil {
		return c, err
	}
	read = os.ReadFile
	if len(recipeFiles) == 0 {
		read = testdata.FS.ReadFile
		if recipeFiles, err = fs.Glob(testdata.FS, "recipes/*.toml"); err != nil {
			return c, err
		}
	}
	for _, name := range recipeFiles {
		if data, err = read(name); err != nil {
			return c, err
		}
		file, err := recipe.Parse(name, data)
		if err != nil {
			return c, err
		}
		c.Recipes = append(c.Recipes, file)
	}
	c.Config, err = setup.Supervisor(c.Machine, c.Recipes)
	return c, err
}

// played is what came of a script.
type played struct {
	failures []string
	text     string // all that it printed
	expected int
	acted    map[subject]bool // what has tripped or was held
	bench    *Bench
}

// play reads a script and plays it; change, where it is not nil, changes the
// cabinet beforehand.
func play(t testing.TB, name, text string, change func(*Cabinet)) played {
	script, err := ReadScript(&Source{Name: name, Load: load}, text)
	require.NoError(t, err)
	if change != nil {
		change(&script.Cabinet)
	}
	var out bytes.Buffer
	p := played{acted: map[subject]bool{}}
	s := &Session{
		Bench: New(script.Cabinet), Out: &out,
		Fail: func(sentence string) { p.failures = append(p.failures, sentence) },
		Tell: func(l scenario.Line) { out.WriteString(report.Clock(l.At) + " " + l.Text + "\n") },
		Ticked: func(b *Bench) error {
			if len(b.Said) == 0 {
				return nil
			}
			m := b.Supervisor.Memory()
			for slot := range interlock.Slots {
				if m.Interlock.Latched.Has(slot) || m.Interlock.Held.Has(slot) {
					f, place := interlock.Find(slot)
					p.acted[subject{f, place}] = true
				}
			}
			return nil
		},
	}
	require.NoError(t, script.Run(s, nil))
	p.text, p.expected, p.bench = out.String(), s.Expected, s.Bench
	return p
}

// scriptsFolder holds the scripts that are examples and tests at once.
const scriptsFolder = "../../testdata/bench"

// scripts returns the names of the scripts that are kept, without their folder.
func scripts(t testing.TB) []string {
	files, err := filepath.Glob(scriptsFolder + "/*.txt")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for i := range files {
		files[i] = filepath.Base(files[i])
	}
	return files
}

func scriptText(t testing.TB, name string) string {
	text, err := os.ReadFile(filepath.Join(scriptsFolder, name))
	require.NoError(t, err)
	return string(text)
}

func playKept(t testing.TB, name string, change func(*Cabinet)) played {
	return play(t, filepath.Join(scriptsFolder, name), scriptText(t, name), change)
}

// demo returns a bench with the demo tank, and a session on it.
func demo(t testing.TB) (*Bench, *Session) {
	c, err := load("", nil)
	require.NoError(t, err)
	b := New(c)
	return b, &Session{Bench: b, Out: &bytes.Buffer{}, Fail: func(sentence string) { t.Log(sentence) }}
}

func start(name string) hal.Request { return hal.Request{Verb: hal.Start, Recipe: name} }
