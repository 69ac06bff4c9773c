package trace

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var slideMeta = Metadata{
	Origin: Synthetic, Program: "0.1 <dev>", Machine: "9f86d0", Tick: 100 * time.Millisecond, Seed: math.MaxUint64,
	Created: time.Date(2026, 1, 31, 12, 0, 0, 5, time.UTC),
}

// windowMeta is that of a trace which begins in the middle of a session.
var windowMeta = Metadata{
	Origin: Tank, Program: "0.1", Machine: "9f86d0", Tick: time.Second,
	State: "c0ffee12 1 0*9 <ff> ~", Recipes: []string{"0123abcd", strings.Repeat("f", 64)}, Trip: "record 17",
}

var slideColumns = []string{"time_s", "bath_a_degC", "lid_closed", "request", "out_banks"}

func sidecarText(t *testing.T, meta Metadata) string {
	var out bytes.Buffer
	require.NoError(t, WriteMetadata(&out, "slide.csv", slideColumns, meta))
	return out.String()
}

func TestSidecarText(t *testing.T) {
	want, err := os.ReadFile("testdata/slide.csv-metadata.json")
	require.NoError(t, err)
	assert.Equal(t, string(want), sidecarText(t, slideMeta))
}

// Each of the three notes of a trace that begins in the middle of a session is
// there only where it says something.
func TestSidecarNotesOfATraceFromTheMiddle(t *testing.T) {
	notes := func(meta Metadata) map[string]string {
		var tree struct{ Notes []map[string]string }
		require.NoError(t, json.Unmarshal([]byte(sidecarText(t, meta)), &tree))
		found := map[string]string{}
		for _, n := range tree.Notes {
			found[n["schema:name"]] = n["schema:value"]
		}
		require.Len(t, found, len(tree.Notes), "each name once")
		return found
	}
	want := map[string]string{"origin": "tank", "program version": "0.1", "machine file fingerprint": "9f86d0", "tick": "1"}
	bare := windowMeta
	bare.State, bare.Recipes, bare.Trip = "", []string{}, ""
	assert.Equal(t, want, notes(bare))
	bare.Trip, want["recorded because of"] = "record 17", "record 17"
	assert.Equal(t, want, notes(bare))
	want["recipe file fingerprints"] = "0123abcd " + strings.Repeat("f", 64)
	want["state before the first row"] = "c0ffee12 1 0*9 <ff> ~"
	assert.Equal(t, want, notes(windowMeta))
}

// Rules of the Metadata Vocabulary for Tabular Data, W3C Recommendation of 17
// December 2015, from memory, looked for in the JSON alone.
func TestSidecarFollowsTheVocabulary(t *testing.T) {
	var tree map[string]any
	var out bytes.Buffer
	names, err := Layout{Fans: 8, Banks: 16, Ages: true, Outputs: true, Events: true}.Names()
	require.NoError(t, err)
	require.NoError(t, WriteMetadata(&out, "my trace: 1#.csv", names, windowMeta))
	require.NoError(t, json.Unmarshal(out.Bytes(), &tree))
	assert.Equal(t, "http://www.w3.org/ns/csvw", tree["@context"])
	assert.Equal(t, "./my%20trace:%201%23.csv", tree["url"]) // a relative reference (RFC 3986, 4.2)
	inContext := func(name string) bool {                    // a common property has a prefix of the initial context
		return strings.HasPrefix(name, "dc:") || strings.HasPrefix(name, "schema:")
	}
	for name := range tree {
		assert.True(t, name == "@context" || name == "url" || name == "notes" || name == "tableSchema" || inContext(name), name)
	}
	for _, note := range tree["notes"].([]any) {
		for name := range note.(map[string]any) {
			assert.True(t, name == "@type" || inContext(name), name)
		}
	}
	described := tree["tableSchema"].(map[string]any)["columns"].([]any)
	require.Len(t, described, len(names))
	assert.Equal(t, map[string]any{ // a field may be empty, so it is not required
		"name": "events", "titles": "events", "dc:description": "what happened at this tick, in sentences",
		"datatype": map[string]any{"base": "string"},
	}, described[len(names)-1])
	for i, name := range names {
		column := described[i].(map[string]any)
		assert.Equal(t, name, column["name"])
		assert.Equal(t, name, column["titles"], "titles are the header of the CSV")
		assert.Regexp(t, `^[A-Za-z0-9][A-Za-z0-9_]*$`, name, "a variable name of a URI template (RFC 6570, 2.3) without a leading underscore")
		base := column["datatype"].(map[string]any)["base"]
		assert.Contains(t, []any{"decimal", "boolean", "string"}, base)
		assert.Equal(t, base == "decimal", column["schema:unitText"] != nil, "%s: every number has a unit", name)
	}
}

func TestSidecarComesBack(t *testing.T) {
	for _, meta := range []Metadata{
		slideMeta,
		{Origin: Tank, Program: "1", Machine: "m", Tick: 1},
		windowMeta,
		{Origin: Bench, Program: "1", Machine: "m", Tick: 1, State: strings.Repeat(" 1", 1<<16)},
		{Origin: Bench, Program: "1", Machine: "m", Tick: 1, Recipes: []string{"01234567"}},
		{Origin: Synthetic, Program: "\"é\n", Machine: "m", Tick: math.MaxInt64},
	} {
		path := filepath.Join(t.TempDir(), "slide.csv"+SidecarSuffix)
		require.NoError(t, os.WriteFile(path, []byte(sidecarText(t, meta)), 0o600))
		back, names, err := ReadMetadata(path)
		require.NoError(t, err)
		assert.Equal(t, meta, back)
		assert.Equal(t, slideColumns, names)
	}
}

func TestSidecarFaultSentences(t *testing.T) {
	for _, test := range []struct{ what, from, to, want string }{
		{"not JSON", `"url"`, `url`, `:3:3: the sidecar is not JSON: invalid character 'u'`},
		{"cut", "\n}\n", "\n", `: the sidecar ends within its JSON object; expected the rest of it`},
		{"more", "\n}\n", "\n}\n{}", `:83:1: the sidecar is not JSON: invalid character '{' after top-level value`},
		{"unknown", `"url":`, `"colour": 1, "url":`, `:3:10: unknown property "colour"; expected only those that describe a trace`},
		{"case", `"url":`, `"URL":`, `:3:7: unknown property "URL"; expected only those that describe a trace`},
		{"twice", `"url":`, `"url": "x", "url":`, `:3:19: property "url" is there twice; expected it once`},
		{"misplaced", `"url":`, `"base": "x", "url":`, `: property "base" stands where it means nothing; expected only those that describe a trace`},
		{"empty", sidecarText(t, slideMeta), "", `:1:1: the sidecar ends within its JSON object; expected the rest of it`},
		{"list", sidecarText(t, slideMeta), "[]", `:1:1: the sidecar is a JSON array; expected a JSON object`},
		{"kind", `"slide.csv"`, `5`, `:3:10: url is a JSON number; expected a string`},
		{"context", `/ns/csvw`, `/ns/other`, `: @context is "http://www.w3.org/ns/other"; expected "http://www.w3.org/ns/csvw"`},
		{"other file", `"slide.csv"`, `"rinse.csv"`, `: url is "rinse.csv"; expected "slide.csv", the file that this sidecar stands beside`},
		{"origin", `"synthetic"`, `"real"`, `: there is a note seed with the origin real; expected it only with the origin synthetic`},
		{"note type", `"schema:PropertyValue"`, `"schema:Thing"`, `: a note has the type "schema:Thing"; expected schema:PropertyValue`},
		{"note name", `"program version"`, `"version"`, `: unknown note "version"; expected origin, program version, machine file fingerprint, tick, seed, and perhaps recorded because of, recipe file fingerprints and state before the first row`},
		{"state of lines", `c0ffee12 1`, `c0ffee12\n1`, `: the text of "state before the first row" is "c0ffee12\n1 0*9 <ff> ~"; expected one line of printable ASCII`},
		{"state not ASCII", `c0ffee12`, `caf\u00e912`, ": the text of \"state before the first row\" is \"caf\u00e912 1 0*9 <ff> ~\"; expected one line of printable ASCII"},
		{"no state", `"c0ffee12 1 0*9 <ff> ~"`, `""`, `: note state before the first row is empty; expected a text, or no such note`},
		{"trip", `record 17`, `record\t17`, `: the text of "recorded because of" is "record\t17"; expected one line of printable ASCII`},
		{"no trip", `"record 17"`, `""`, `: note recorded because of is empty; expected a text, or no such note`},
		{"short recipe", `0123abcd `, `0123abc `, `: the recipe file fingerprint is "0123abc"; expected 8 to 64 digits of lower-case hexadecimal`},
		{"recipe in capitals", `0123abcd `, `0123ABCD `, `: the recipe file fingerprint is "0123ABCD"; expected 8 to 64 digits of lower-case hexadecimal`},
		{"two spaces", `0123abcd `, `0123abcd  `, `: the recipe file fingerprint is ""; expected 8 to 64 digits of lower-case hexadecimal`},
		{"no recipe", `"0123abcd ` + strings.Repeat("f", 64) + `"`, `""`, `: note recipe file fingerprints is empty; expected a text, or no such note`},
		{"trip twice", `"state before the first row"`, `"recorded because of"`, `: note recorded because of is there twice; expected it once`},
		{"unit of a trip", `"schema:value": "record 17"`, `"schema:value": "record 17", "schema:unitText": "s"`, `: note recorded because of has the unit "s"; expected ""`},
		{"note twice", `"program version"`, `"origin"`, `: note origin is there twice; expected it once`},
		{"no tick", "    {\n      \"@type\": \"schema:PropertyValue\",\n      \"schema:name\": \"tick\",\n      \"schema:value\": \"0.1\",\n      \"schema:unitText\": \"s\"\n    },\n", "",
			`: there is no note tick; expected it once`},
		{"tick unit", `"schema:unitText": "s"`, `"schema:unitText": "ms"`, `: note tick has the unit "ms"; expected "s"`},
		{"tick value", `"0.1"`, `"fast"`, `: note tick: "fast" is not a number; expected a decimal of seconds with at most 9 decimals`},
		{"tick zero", `"0.1"`, `"0"`, `: the tick is 0 s; expected more than 0 s`},
		{"seed", `"18446744073709551615"`, `"18446744073709551616"`, `: note seed: "18446744073709551616" is not a seed; expected a whole number from 0 to 18446744073709551615`},
		{"created", `2026-01-31T`, `yesterday`, `: dc:created is "yesterday12:00:00.000000005Z"; expected a date and time such as 2026-01-31T12:00:00Z`},
		{"empty version", `"0.1 <dev>"`, `""`, `: the program version is empty; expected the version of the program that made the trace`},
		{"column", `"name": "bath_a_degC"`, `"name": "bath_a_degF"`, `: columns of tableSchema: unknown column "bath_a_degF"; did you mean bath_a_degC?`},
		{"unit", `"degC"`, `"degF"`, `: column bath_a_degC: schema:unitText is "degF"; expected "degC"`},
		{"datatype", `"base": "decimal"`, `"base": "double"`, `: column time_s: base of datatype is "double"; expected "decimal"`},
		{"format", `"1|0"`, `"Y|N"`, `: column lid_closed: format of datatype is "Y|N"; expected "1|0"`},
		{"required", `"required": true`, `"required": false`, `: column time_s: required is "false"; expected "true"`},
	} {
		t.Run(test.what, func(t *testing.T) {
			text := sidecarText(t, slideMeta)
			if !strings.Contains(text, test.from) {
				text = sidecarText(t, windowMeta)
			}
			require.Contains(t, text, test.from)
			path := filepath.Join(t.TempDir(), "slide.csv"+SidecarSuffix)
			require.NoError(t, os.WriteFile(path, []byte(strings.Replace(text, test.from, test.to, 1)), 0o600))
			_, _, err := ReadMetadata(path)
			require.Error(t, err)
			got, found := strings.CutPrefix(err.Error(), path)
			require.True(t, found, err)
			assert.Contains(t, got, test.want)
			assert.NotContains(t, got, "\n", "one sentence")
		})
	}
}

func TestMetadataIsChecked(t *testing.T) {
	for want, change := range map[string]func(*Metadata){
		`the origin is "lab"; expected synthetic, bench or tank`:                                       func(m *Metadata) { m.Origin = "lab" },
		`the tick is -1 s; expected more than 0 s`:                                                     func(m *Metadata) { m.Tick = -time.Second },
		`the seed is 5 with the origin tank; expected a seed only with the origin synthetic`:           func(m *Metadata) { m.Origin, m.Seed = Tank, 5 },
		`the machine file fingerprint is empty; expected that of the machine file in use`:              func(m *Metadata) { m.Machine = "" },
		`the year of creation is 12000; expected 1 to 9999`:                                            func(m *Metadata) { m.Created = time.Date(12000, 1, 1, 0, 0, 0, 0, time.UTC) },
		`the text of "state before the first row" is "a\nb"; expected one line of printable ASCII`:     func(m *Metadata) { m.State = "a\nb" },
		`the text of "recorded because of" is "\x7f"; expected one line of printable ASCII`:            func(m *Metadata) { m.Trip = "\x7f" },
		`the recipe file fingerprint is "0123ABCD"; expected 8 to 64 digits of lower-case hexadecimal`: func(m *Metadata) { m.Recipes = []string{"0123abcd", "0123ABCD"} },
		`the recipe file fingerprint is ""; expected 8 to 64 digits of lower-case hexadecimal`:         func(m *Metadata) { m.Recipes = []string{""} },
		`the program version or the machine file fingerprint is not UTF-8; expected text in UTF-8`:     func(m *Metadata) { m.Program = "\xff" },
	} {
		meta := slideMeta
		change(&meta)
		var out bytes.Buffer
		assert.EqualError(t, WriteMetadata(&out, "slide.csv", slideColumns, meta), want)
		assert.Zero(t, out.Len())
	}
}
