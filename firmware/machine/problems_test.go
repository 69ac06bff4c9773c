package machine

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/tomlfile"
)

func TestMissingTables(t *testing.T) {
	for header, want := range map[string]string{
		"[tank]":         `d:1:1: table [tank] is missing, it must be there`,
		"[mains]":        `d:1:1: table [mains] is missing, it must be there`,
		"[limits]":       `d:1:1: table [limits] is missing, it must be there`,
		"[timings]":      `d:1:1: table [timings] is missing, it must be there`,
		"[contacts]":     `d:1:1: table [contacts] is missing, it must be there`,
		"[probe.":        `d:1:1: table [probe] is missing, it must be there`,
		"[[bank]]":       `d:1:1: there is no [[bank]], allowed are 1 to 16 banks`,
		"[[fan]]":        `d:1:1: there is no [[fan]], allowed are 1 to 8 fans`,
		"[probe.bath_a]": `table [probe.bath_a] is missing, it must be there`,
	} {
		_, err := Parse("d", []byte(without(t, header)))
		require.Error(t, err, header)
		assert.Contains(t, strings.Split(err.Error(), "\n")[0], want)
	}
}

// What may be left out is left out without a word.
func TestMissingTablesThatMay(t *testing.T) {
	for _, header := range []string{"[heater]", "[liquid]", "[delays]", "[probe.bath_b]", "[probe.cabinet]", "[[meter.register]]"} {
		text := without(t, header)
		if header == "[heater]" {
			i := strings.Index(text, "[[wiring]]\nsignal = \"heater\"")
			require.Positive(t, i)
			text = text[:i] + text[i+strings.Index(text[i:], "\n\n"):]
		}
		_, err := Parse("d", []byte(text))
		assert.NoError(t, err, header)
	}
	_, err := Parse("d", []byte(without(t, "[[wiring]]")))
	assert.NoError(t, err)
}

func TestTooMany(t *testing.T) {
	bank := "\n[[bank]]\nemitters = 2\nemitter = \"40 W\"\ndraw = \"81 W\"\nfrequency = \"40 kHz\"\n"
	text := without(t, "[[wiring]]")
	_, err := Parse("d", []byte(text+strings.Repeat(bank, 10)))
	require.NoError(t, err, "16 banks are allowed")
	_, err = Parse("d", []byte(text+strings.Repeat(bank, 11)))
	require.ErrorContains(t, err, "[[bank]] 17 is one too many, allowed are 1 to 16 banks")

	fan := "\n[[fan]]\nnominal = \"2600 rpm\"\nminimum = \"1500 rpm\"\npulses = 2\ndraw = \"4 W\"\n"
	_, err = Parse("d", []byte(text+strings.Repeat(fan, 6)))
	require.NoError(t, err, "8 fans are allowed")
	_, err = Parse("d", []byte(text+strings.Repeat(fan, 7)))
	require.ErrorContains(t, err, "[[fan]] 9 is one too many, allowed are 1 to 8 fans")
}

func TestNoFanRequired(t *testing.T) {
	text := strings.ReplaceAll(demoText(t), "required = true", "required = false")
	_, err := Parse("d", []byte(text))
	require.ErrorContains(t, err, "required is false for every fan, at least one must be required")
	_, err = Parse("d", []byte(edited(t, "[[fan]] 1 required", "required = false")))
	assert.NoError(t, err, "one required fan is enough")
}

// All that is wrong is said at once, in the order of the file.
func TestAllProblemsInOrder(t *testing.T) {
	text := demoText(t)
	for old, now := range map[string]string{
		`length = "900 mm"`: `length = 900`,
		`outlet = "16 A"`:   `outlet = "16 V"`,
		`bath = "70 degC"`:  `bath = "95 degC"`,
		`purge = "5 s"`:     `purge = "1 s"`,
	} {
		require.Contains(t, text, old)
		text = strings.Replace(text, old, now, 1)
	}
	_, err := Parse("d", []byte(text))
	problems := tomlfile.Problems(nil)
	require.True(t, errors.As(err, &problems))
	require.Len(t, problems, 4)
	for i := 1; i < len(problems); i++ {
		assert.True(t, problems[i-1].At.Before(problems[i].At))
	}
}
