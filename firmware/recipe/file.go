package recipe

import (
	"fmt"
	"os"
	"regexp"
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/tomlfile"
	"bathtender/hal/quantity"
)

// File is a recipe with what else its file says, and where it says it.
type File struct {
	Recipe Recipe
	// About is what the recipe is for, in its writer's words.
	About string
	// Fingerprint is the SHA-256 of the file, in hexadecimal, Source the file as
	// it was read.
	Fingerprint string
	Source      []byte

	toml *tomlfile.Table
	name string
}

// A recipe's name is typed at a prompt and stands in a trace's request column.
var nameForm = regexp.MustCompile(`^[a-z][a-z0-9]*(?:[ -][a-z0-9]+)*$`)

// Load reads the recipe file at a path. Its error is one sentence for a file
// that cannot be read, and a tomlfile.Problems for one that says something wrong.
func Load(path string) (*File, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, fmt.Errorf("the recipe cannot be read: %w", err)
	}
	return Parse(path, data)
}

// Parse reads a recipe from memory; the name is only used in messages. Its error
// is a tomlfile.Problems with all that is wrong, in the order of the file.
//
// A recipe must state name, limit and clean. Where the others are missing: no
// heating (set), no degassing (degas), one side (sides), one bank in service
// (banks), liquid of any age (change_emission, change_days); pause must be there with two sides or more.
func Parse(name string, data []byte) (*File, error) {
	file, err := tomlfile.Parse(name, data)
	if err != nil {
		return nil, err
	}
	t := file.Root()
	f := &File{toml: t, name: name, Fingerprint: tomlfile.Fingerprint(data), Source: data}
	r := &f.Recipe
	const lowest, highest = physic.ZeroCelsius + 5*physic.Celsius, physic.ZeroCelsius + 90*physic.Celsius
	r.Name = t.NeedText("name", 40)
	if t.Good("name") && !nameForm.MatchString(r.Name) {
		t.Report("name", "name %s in %s is no recipe's name, allowed are small letters, digits, single spaces and hyphens, a letter first",
			quantity.Quote(r.Name), t.Label())
	}
	f.About = t.Text("about", 400)
	r.Set = tomlfile.Or(t, "set", quantity.Temperature, 0, lowest, highest)
	r.Limit = tomlfile.Need(t, "limit", quantity.Temperature, lowest, highest)
	r.Degas = tomlfile.Or(t, "degas", quantity.Duration, 0, 0, time.Hour)
	r.Clean = tomlfile.Need(t, "clean", quantity.Duration, time.Second, 4*time.Hour)
	r.Sides = t.Integer("sides", 1, 1, MaxSides)
	r.BanksLeast = t.Integer("banks", 1, 1, 16)
	r.ChangeEmission = tomlfile.Or(t, "change_emission", quantity.Duration, 0, 0, 1000*time.Hour)
	r.ChangeDays = t.Integer("change_days", 0, 0, 1000)
	if r.Sides > 1 {
		r.Pause = tomlfile.Need(t, "pause", quantity.Duration, time.Second, time.Hour)
	} else {
		r.Pause = tomlfile.Or(t, "pause", quantity.Duration, 0, 0, time.Hour)
		if t.Has("pause") {
			file.Contradict(t.Ref("pause"), "does not go with", t.Ref("sides", "1"), "a turn-over is between two sides: allowed is sides = 2 or more, or no pause")
		}
	}
	if r.Set != 0 && r.Set >= r.Limit {
		file.Contradict(t.Ref("set"), "is not under", t.Ref("limit"), "the bath must be kept under what the parts can stand")
	}
	if err := file.Err(); err != nil {
		return nil, err
	}
	return f, nil
}

// Problem returns a sentence about one of the recipe's keys with its place in
// the file. A File that was not read from a file has no places.
func (f *File) Problem(key, text string) error {
	if f.toml == nil {
		return fmt.Errorf("recipe %s: %s", quantity.Quote(f.Recipe.Name), text)
	}
	return tomlfile.Problem{File: f.name, At: f.toml.KeyAt(key), Text: text}
}
