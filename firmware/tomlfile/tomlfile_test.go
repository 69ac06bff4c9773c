package tomlfile

import (
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/hal/quantity"
)

func parse(t *testing.T, text string) *File {
	t.Helper()
	f, err := Parse("f", []byte(text))
	require.NoError(t, err)
	return f
}

// Tables are found however they are written.
func TestTables(t *testing.T) {
	for _, text := range []string{
		"[a.b]\nt = \"8 s\"\n",
		"[a]\nb = { t = \"8 s\" }\n",
		"[a]\nb.t = \"8 s\"\n",
		"a.b.t = \"8 s\"\n",
		"a = { b.t = \"8 s\" }\n",
		"a.b = { \"t\" = '8 s' }\n",
	} {
		f := parse(t, text)
		b := f.Root().Table("a").Table("b")
		require.NotNil(t, b, text)
		assert.Equal(t, "[a.b]", b.Label(), text)
		assert.Equal(t, 8*time.Second, Need(b, "t", quantity.Duration, 0, time.Minute), text)
		assert.NoError(t, f.Err(), text)
	}
}

func TestListsOfTables(t *testing.T) {
	f := parse(t, "[[x]]\nn = 1\n[[x.y]]\nn = 2\n[[x]]\nn = 3\n[[x.y]]\nn = 4\n[[x.y]]\nn = 5\n")
	var got []int
	for _, x := range f.Root().Tables("x") {
		got = append(got, x.NeedInteger("n", 0, 9))
		for _, y := range x.Tables("y") {
			got = append(got, y.NeedInteger("n", 0, 9))
		}
	}
	assert.Equal(t, []int{1, 2, 3, 4, 5}, got)
	assert.NoError(t, f.Err())
	assert.Equal(t, Position{9, 1}, f.Root().Tables("x")[1].Tables("y")[1].At())
	assert.Equal(t, "[[x.y]] 2", f.Root().Tables("x")[1].Tables("y")[1].Label())
}

// Columns count characters, not bytes.
func TestColumnsCountCharacters(t *testing.T) {
	f := parse(t, "a = { \"é°\" = 1, b = 2 }\n")
	a := f.Root().Table("a")
	assert.Equal(t, Position{1, 17}, a.KeyAt("b"))
	a.Integer("é°", 0, 0, 9)
	assert.EqualError(t, f.Err(), `f:1:17: key "b" in [a] is not known, allowed is é°`)
}

func TestSyntax(t *testing.T) {
	for text, want := range map[string]string{
		"a = \n":               `f:1:5: the line "a =" is not TOML: `,
		"a = 1\na = 2\n":       `f:2:1: the line "a = 2" is not TOML: key a is already defined`,
		"[a]\n[a]\n":           `f:2:2: the line "[a]" is not TOML: `,
		"a = \"\xff\"\n":       `is not TOML`,
		"a = 1\n[a.b]\n":       `f:2:`,
		"a = 1979-13-45\n":     `f:1:10: `,
		"x = [1,\n\n2\n":       `is not TOML`,
		strings.Repeat("#", 2): ``,
	} {
		_, err := Parse("f", []byte(text))
		if want == "" {
			assert.NoError(t, err, text)
			continue
		}
		require.Error(t, err, text)
		assert.Contains(t, err.Error(), want)
		assert.NotContains(t, err.Error(), "\n")
	}
	_, err := Parse("f", make([]byte, sizeMax+1))
	assert.EqualError(t, err, "f:1:1: the file is 1048577 bytes long, allowed are at most 1048576")
}

func TestWrongTypes(t *testing.T) {
	f := parse(t, "a = \"x\"\nb = 3\nc = [1]\n[[d]]\n[e]\n")
	root := f.Root()
	root.Table("a")
	root.Text("b", 9)
	root.Tables("c")
	root.Table("d")
	root.Tables("e")
	assert.EqualError(t, f.Err(), `f:1:5: a "x" is no single table, allowed is one under the header [a]
f:2:5: b 3 in the file is not text, allowed is text in quotes
f:3:1: c [...] is no list of tables, allowed is each under its own header [[c]]
f:4:1: "d" is no single table, allowed is one under the header [d]
f:5:1: "e" is no list of tables, allowed is each under its own header [[e]]`)
}

func TestText(t *testing.T) {
	f := parse(t, "a = \"\"\nb = \" x\"\nc = \"x\\ny\"\nd = \"1234\"\ne = \"123\"\ng = \"high\"\nh = \"up\"\n")
	root := f.Root()
	for _, key := range []string{"a", "b", "c", "d"} {
		assert.Empty(t, root.Text(key, 3), key)
	}
	assert.Equal(t, "123", root.Text("e", 3))
	assert.Equal(t, "high", root.Choice("g", "low", "high", "low"))
	assert.Equal(t, "low", root.Choice("h", "low", "high", "low"))
	assert.Equal(t, "low", root.Choice("missing", "low", "high", "low"))
	problems := Problems(nil)
	require.True(t, errors.As(f.Err(), &problems))
	require.Len(t, problems, 5)
	assert.EqualError(t, problems[2], `f:3:5: c "x\ny" in the file is not one line of text, allowed are 1 to 3 characters, no space at either end`)
	assert.EqualError(t, problems[4], `f:7:5: h "up" in the file is not known, allowed are "high" and "low"`)
	assert.Len(t, problems.Unwrap(), 5)
}

// A contradiction stands at the later value, and is left unsaid where one of the
// two is wrong by itself.
func TestContradict(t *testing.T) {
	f := parse(t, "low = 5\nhigh = 3\nbad = true\n")
	root := f.Root()
	low, high := root.Ref("low"), root.Ref("high")
	f.Contradict(low, "is over", high, "less is allowed")
	f.Contradict(high, "is under", low, "more is allowed")
	f.Contradict(low, "is over", root.Ref("limit", "4"), "less is allowed")
	f.Contradict(low, "is over", root.Ref("limit"), "not said: there is no such value")
	root.Integer("low", 0, 0, 9)
	root.Integer("high", 0, 0, 9)
	root.Integer("bad", 0, 0, 9)
	f.Contradict(root.Ref("bad"), "is over", high, "not said: bad is reported")
	assert.EqualError(t, f.Err(), `f:1:7: low 5 in the file is over limit "4" (what counts when it is not given), less is allowed
f:2:8: low 5 in the file (line 1) is over high 3 in the file, less is allowed
f:2:8: high 3 in the file is under low 5 in the file (line 1), more is allowed
f:3:7: bad true in the file is not a whole number from 0 to 9, allowed is as in bad = 0`)
}

// A missing table is said once, and answers with nothing from then on.
func TestMissingTableSaysNothingMore(t *testing.T) {
	f := parse(t, "")
	a := f.Root().Table("a")
	assert.Zero(t, Need(a, "x", quantity.Power, 1, 2))
	assert.Zero(t, a.NeedInteger("x", 1, 2))
	assert.False(t, a.NeedTruth("x"))
	assert.Empty(t, a.NeedText("x", 9)+a.NeedChoice("x", "y"))
	assert.Nil(t, a.Table("b"))
	assert.Nil(t, a.Tables("b"))
	a.Report("x", "nothing")
	f.Contradict(a.Ref("x"), "is", a.Ref("y"), "nothing")
	assert.EqualError(t, f.Err(), "f:1:1: table [a] is missing, it must be there")
}

func FuzzParse(f *testing.F) {
	f.Add("a = { b.c = 1 }\n[[x]]\n[x.y]\n")
	f.Add("a.b = 1\na.c = 2\n[a.d]\n")
	f.Add("[a]\n[[a.b]]\n[a.b.c]\n")
	f.Add("\xef\xbb\xbfa = 1\r\n")
	f.Fuzz(func(t *testing.T, text string) {
		file, err := Parse("f", []byte(text))
		if err == nil {
			err = file.Err() // every key is unknown
		}
		var problems Problems
		if err != nil && (!errors.As(err, &problems) || len(problems) == 0) {
			t.Fatalf("no problems in %v", err)
		}
		for _, p := range problems {
			if p.At.Line < 1 || p.At.Column < 1 || p.At.Line > 1+strings.Count(text, "\n") || strings.ContainsAny(p.Text, "\r\n") {
				t.Fatalf("%q", p.Error())
			}
		}
	})
}
