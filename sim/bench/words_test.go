package bench

import (
	"bytes"
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestWords(t *testing.T) {
	for line, want := range map[string][]string{
		"":                              nil,
		"  # only a comment":            nil,
		"set bath a 45 degC # warm":     {"set", "bath", "a", "45", "degC"},
		"expect heater off, fans on":    {"expect", "heater", "off", ",", "fans", "on"},
		`expect said "a, b # \"c\" \\"`: {"expect", "said", `a, b # "c" \`},
		"set\tbath\u00a045 °C\r\n":      {"set", "bath", "45", "°C"},
		"a,,b":                          {"a,,b"},
		"a,, b":                         {"a", ",", ",", "b"},
		`said"x",`:                      {"said", "x", ","},
	} {
		words, _, err := wordsOf(line)
		require.NoError(t, err, line)
		var got []string
		for _, w := range words {
			got = append(got, w.text)
		}
		assert.Equal(t, want, got, line)
	}
	words, _, err := wordsOf(`  set "ä" b`)
	require.NoError(t, err)
	assert.Equal(t, []word{{"set", 3, false}, {"ä", 7, true}, {"b", 11, false}}, words, "columns count characters")
}

// Whatever stands in a script, it is read or refused with a sentence; and what was
// read is written such that it reads the same.
func FuzzScript(f *testing.F) {
	for _, name := range scripts(f) {
		f.Add(scriptText(f, name))
	}
	for _, c := range wrongStatements {
		f.Add(c.text)
	}
	f.Add("set bath a nothing\nset fans 3 rpm old 1 s ageing\nhelp set\nhistory\nquit\nexplain all\nrestart after 3 s\nuse recipe \"x\\\"\\\\\"")
	cabinet, err := load("", nil)
	require.NoError(f, err)
	loaded := func(string, []string) (Cabinet, error) { return cabinet, nil }
	f.Fuzz(func(t *testing.T, text string) {
		script, err := ReadScript(&Source{Name: "s", Load: loaded}, text)
		if err != nil {
			var problem Problem
			require.True(t, errors.As(err, &problem), "%v", err)
			require.NotEmpty(t, problem.Text)
			require.Positive(t, problem.At.Column)
			return
		}
		for _, st := range script.Statements {
			require.NotContains(t, st.Text, "\n")
			again, err := (&Source{Name: "s", Load: loaded}).Next(st.Text)
			require.NoError(t, err, "%q", st.Text)
			require.Equal(t, st.Text, again.Text)
		}
	})
}

// Whatever is done on the bench, in whatever order, nothing panics, and the same
// script does the same.
func FuzzDoing(f *testing.F) {
	lines := []string{"set bath nothing", "set fans 0 rpm", "set lid open", "set stop absent", "start gentle", "stop", "reset",
		"wait 3 s", "late 1 s", "restart", "follow fans", "follow stop", "follow lid", "set watts 3 kW", "follow watts",
		"ramp bath to 70 degC in 20 s", "set bath 41 degC", "set mains 0 V", "follow mains", "show", "explain all", "set kept bad",
		"hold reset for 1 s", "wait until phase clean within 20 s", "set journal bad", "expect no trip", "history"}
	f.Add([]byte{16, 4, 23, 1, 7, 6, 19, 20})
	f.Add([]byte{0, 7, 9, 7, 22, 7, 19})
	cabinet, err := load("", nil)
	require.NoError(f, err)
	f.Fuzz(func(t *testing.T, picks []byte) {
		if len(picks) > 40 {
			return
		}
		var text strings.Builder
		for _, pick := range picks {
			text.WriteString(lines[int(pick)%len(lines)] + "\n")
		}
		var outs [2]bytes.Buffer
		for i := range outs {
			script, err := ReadScript(&Source{Name: "s", Load: func(string, []string) (Cabinet, error) { return cabinet, nil }}, text.String())
			require.NoError(t, err)
			s := &Session{Bench: New(cabinet), Out: &outs[i], Fail: func(sentence string) { outs[i].WriteString(sentence) }}
			require.NoError(t, script.Run(s, nil))
			o := s.Bench.Outputs
			require.False(t, (o.Heater || o.Banks != 0) && !o.Contactor, "no load without the contactor")
		}
		require.Equal(t, outs[0].String(), outs[1].String())
	})
}
