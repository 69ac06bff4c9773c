package machine

import (
	"errors"
	"strings"
	"testing"

	"bathtender/firmware/tomlfile"
)

// No file makes Parse panic, and whatever is wrong with one has a place in it.
func FuzzParse(f *testing.F) {
	f.Add(demoText(f))
	f.Add("")
	f.Add("name = 1\n[tank]\nlength.x = 2\n")
	f.Add("[[bank]]\n[bank]\n")
	f.Add("[[bank.x]]\n[[fan]]\n[probe.bath_a.b]\n[wiring]\n")
	f.Add("tank = { length = \"1 m\", a.b = 1 }\n[meter]\nregister = [1, 2]\n")
	f.Add("\"a\\nb\" = '''x\ny'''\n[\"\"]\n")
	f.Fuzz(func(t *testing.T, text string) {
		m, err := Parse("fuzz.toml", []byte(text))
		if err == nil {
			// Whatever is accepted can be used.
			_ = m.Interlock()
			s := m.Sizing(m.UsualConditions())
			_ = s.Text() + m.WiringText()
			return
		}
		problems := tomlfile.Problems(nil)
		if !errors.As(err, &problems) || len(problems) == 0 {
			t.Fatalf("no list of problems: %v", err)
		}
		requireSound(t, text, problems)
	})
}

// requireSound demands of problems that each is one line, that its place is in
// the file, and that they are in order.
func requireSound(t *testing.T, text string, problems tomlfile.Problems) {
	t.Helper()
	lines := 1 + strings.Count(text, "\n")
	last := tomlfile.Position{}
	for _, p := range problems {
		if p.At.Line < 1 || p.At.Line > lines || p.At.Column < 1 {
			t.Fatalf("no such place in %d lines: %s", lines, p.Error())
		}
		if strings.ContainsAny(p.Text, "\n\r") || p.Text == "" {
			t.Fatalf("not one line: %q", p.Text)
		}
		if p.At.Before(last) {
			t.Fatalf("out of order: %s", problems.Error())
		}
		last = p.At
	}
}
