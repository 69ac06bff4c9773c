package recipe

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/tomlfile"
	"bathtender/testdata"
)

const plainFile = `name = "heavy"
about = "Raw brass."
set = "60 degC"
limit = "66 degC"
degas = "5 min"
clean = "12 min"
sides = 2
pause = "2 min"
banks = 5
`

func TestParseFile(t *testing.T) {
	f, err := Parse("r", []byte(plainFile))
	require.NoError(t, err)
	assert.Equal(t, Recipe{
		Name: "heavy", Set: physic.ZeroCelsius + 60*physic.Celsius, Limit: physic.ZeroCelsius + 66*physic.Celsius,
		Degas: 5 * time.Minute, Clean: 12 * time.Minute, Sides: 2, Pause: 2 * time.Minute, BanksLeast: 5,
	}, f.Recipe)
	assert.Equal(t, "Raw brass.", f.About)
}

func TestParseFileDefaults(t *testing.T) {
	f, err := Parse("r", []byte("name = \"x\"\nlimit = \"60 degC\"\nclean = \"1 min\"\n"))
	require.NoError(t, err)
	assert.Equal(t, Recipe{Name: "x", Limit: physic.ZeroCelsius + 60*physic.Celsius, Clean: time.Minute, Sides: 1, BanksLeast: 1}, f.Recipe)
}

func TestWrongRecipeFiles(t *testing.T) {
	for _, c := range []struct{ old, now, want string }{
		{`name = "heavy"`, `name = "Heavy Duty"`, `r:1:8: name "Heavy Duty" in the file is no recipe's name, allowed are small letters, digits, single spaces and hyphens, a letter first`},
		{`name = "heavy"`, `title = "heavy"`, "r:1:1: name is missing in the file, allowed is text of 1 to 40 characters\n" +
			`r:1:1: key "title" in the file is not known, allowed are about, banks, change_days, change_emission, clean, degas, limit, name, pause, set and sides`},
		{`set = "60 degC"`, `set = 60`, `r:3:7: set 60 in the file has no unit or no quotes, allowed is a temperature as in "45 degC"`},
		{`set = "60 degC"`, `set = "66 degC"`, `r:4:9: set "66 degC" in the file (line 3) is not under limit "66 degC" in the file, the bath must be kept under what the parts can stand`},
		{`set = "60 degC"`, `sett = "60 degC"`, `r:3:1: key "sett" in the file is not known, the nearest allowed key is "set"`},
		{`limit = "66 degC"`, ``, `r:1:1: limit is missing in the file, allowed is a temperature from 5 °C to 90 °C`},
		{`limit = "66 degC"`, `limit = "99 degC"`, `r:4:9: limit "99 degC" in the file is out of range, allowed are 5 °C to 90 °C`},
		{`degas = "5 min"`, `degas = "2 h"`, `r:5:9: degas "2 h" in the file is out of range, allowed are 0 s to 1 h`},
		{`clean = "12 min"`, `clean = "0 s"`, `r:6:9: clean "0 s" in the file is out of range, allowed are 1 s to 4 h`},
		{`clean = "12 min"`, ``, `r:1:1: clean is missing in the file, allowed is a time from 1 s to 4 h`},
		{`sides = 2`, `sides = 5`, "r:7:9: sides 5 in the file is not a whole number from 1 to 4, allowed is as in sides = 1"},
		{`sides = 2`, ``, `r:8:9: pause "2 min" in the file does not go with sides "1" (what counts when it is not given), a turn-over is between two sides: allowed is sides = 2 or more, or no pause`},
		{`pause = "2 min"`, ``, `r:1:1: pause is missing in the file, allowed is a time from 1 s to 1 h`},
		{`banks = 5`, `banks = 17`, "r:9:9: banks 17 in the file is not a whole number from 1 to 16, allowed is as in banks = 1"},
		{`banks = 5`, `banks = 5` + "\n[more]", `r:10:1: key "more" in the file is not known, allowed are about, banks, change_days, change_emission, clean, degas, limit, name, pause, set and sides`},
	} {
		require.Contains(t, plainFile, c.old)
		f, err := Parse("r", []byte(strings.Replace(plainFile, c.old, c.now, 1)))
		assert.EqualError(t, err, c.want)
		assert.Nil(t, f)
	}
}

func TestDemoRecipeFiles(t *testing.T) {
	for _, name := range []string{"degas", "gentle", "heavy"} {
		data, err := testdata.FS.ReadFile("recipes/" + name + ".toml")
		require.NoError(t, err)
		f, err := Parse(name, data)
		require.NoError(t, err)
		assert.Equal(t, name, f.Recipe.Name, "a recipe's file is named for it")
		assert.NotEmpty(t, f.About)
	}
}

func TestLoadFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "r.toml")
	_, err := Load(path)
	require.ErrorIs(t, err, os.ErrNotExist)
	require.NoError(t, os.WriteFile(path, []byte(plainFile), 0o600))
	f, err := Load(path)
	require.NoError(t, err)
	assert.EqualError(t, f.Problem("limit", "the words"), path+":4:1: the words")
	assert.EqualError(t, (&File{Recipe: Recipe{Name: "x"}}).Problem("limit", "the words"), `recipe "x": the words`)
}

func FuzzParseFile(f *testing.F) {
	f.Add(plainFile)
	f.Add("name = 1\n")
	f.Add("[set]\nlimit.x = \"\"\n")
	f.Fuzz(func(t *testing.T, text string) {
		_, err := Parse("r", []byte(text))
		var problems tomlfile.Problems
		if err != nil && (!errors.As(err, &problems) || len(problems) == 0) {
			t.Fatalf("no problems in %v", err)
		}
		for _, p := range problems {
			if p.At.Line < 1 || p.At.Column < 1 || strings.ContainsAny(p.Text, "\r\n") {
				t.Fatalf("%q", p.Error())
			}
		}
	})
}
