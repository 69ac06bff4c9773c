package scenario_test

import (
	"errors"
	"regexp"
	"strings"
	"testing"

	"bathtender/firmware/tomlfile"
	"bathtender/sim/plant"
	"bathtender/testdata"
)

var placed = regexp.MustCompile(`^[a-z/.-]+\.toml:[1-9][0-9]*:[1-9][0-9]*: \S`)

// FuzzRead reads whatever is in a file. There is no panic; each sentence has its
// place and is one line; and a scenario that was read can be begun.
func FuzzRead(f *testing.F) {
	for _, name := range names(f) {
		text, err := testdata.FS.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(text))
	}
	for _, c := range wrong {
		f.Add(strings.Replace(good, c.text, c.instead, 1))
	}
	f.Fuzz(func(t *testing.T, text string) {
		sc, err := reading(text)
		if err == nil {
			if _, err := plant.New(sc.Plant, sc.World); err != nil {
				t.Fatalf("a scenario was read that no plant can begin: %s", err)
			}
			return
		}
		var problems tomlfile.Problems
		if !errors.As(err, &problems) {
			t.Fatalf("not a list of problems: %s", err)
		}
		for _, p := range problems {
			if text := p.Error(); strings.Contains(text, "\n") || !placed.MatchString(text) && p.File == "scenarios/bad.toml" {
				t.Fatalf("no sentence with its place: %q", text)
			}
		}
	})
}
