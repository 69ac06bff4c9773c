package bench

import (
	"fmt"
	"path/filepath"
	"strings"

	"bathtender/hal/quantity"
)

// Loader makes the cabinet of a machine file, empty for the built-in one, and of
// recipe files, none for the built-in ones.
type Loader func(machine string, recipes []string) (Cabinet, error)

// Source reads statements, line by line. The cabinet is loaded when the first
// statement needs it; statements that begin with use come before.
type Source struct {
	// Name stands in the place of an error: a file, or "prompt".
	Name string
	Load Loader
	// Machine and Recipes are the files; the command line may have named some.
	Machine string
	Recipes []string

	cabinet *Cabinet
	own     bool // Machine and Recipes are those of use statements
	line    int
}

// Cabinet returns the cabinet, which it loads where that has not been done.
func (s *Source) Cabinet() (*Cabinet, error) {
	if s.cabinet == nil {
		c, err := s.Load(s.Machine, s.Recipes)
		if err != nil {
			return nil, err
		}
		s.cabinet = &c
	}
	return s.cabinet, nil
}

// Next reads one more line. It returns nil for a line without a statement, and
// for one that says what to use. An error that is no Problem is that of a file
// of the cabinet.
func (s *Source) Next(text string) (*Statement, error) {
	s.line++
	at := Place{s.Name, s.line, 1}
	words, column, err := wordsOf(text)
	if err != nil {
		at.Column = column
		return nil, Problem{at, err.Error()}
	}
	if len(words) == 0 {
		return nil, nil
	}
	last := words[len(words)-1]
	r := reader{place: at, words: words, end: last.column + len([]rune(last.text))}
	if last.quoted {
		r.end += 2
	}
	if words[0].text == "use" && !words[0].quoted {
		return nil, s.use(&r)
	}
	if r.cabinet, err = s.Cabinet(); err != nil {
		return nil, err
	}
	at.Column = words[0].column
	act, err := r.statement()
	if err != nil {
		return nil, err
	}
	return &Statement{At: at, Text: statementText(words), act: act}, nil
}

// use reads which machine file or recipe file to use.
func (s *Source) use(r *reader) error {
	first, _ := r.next()
	what, err := r.one("file", "machine", "recipe")
	if err != nil {
		return err
	}
	w, ok := r.next()
	switch {
	case !ok || !w.quoted || w.text == "":
		return r.wrong(w, `use %s needs the path of a file in quotes, as in use %s "tank.toml"`, what, what)
	case s.cabinet != nil:
		return r.wrong(first, "use comes too late, allowed is a place before every other statement")
	case !s.own && (s.Machine != "" || len(s.Recipes) > 0):
		return r.wrong(first, "the command line has said which files to use, allowed is one of the two")
	case what == "machine" && s.Machine != "":
		return r.wrong(first, "there is a machine file already, %s, allowed is one", quantity.Quote(s.Machine))
	}
	if err := r.done(); err != nil {
		return err
	}
	s.own = true
	path := w.text
	if !filepath.IsAbs(path) {
		path = filepath.Join(filepath.Dir(s.Name), filepath.FromSlash(path))
	}
	if what == "machine" {
		s.Machine = path
	} else {
		s.Recipes = append(s.Recipes, path)
	}
	return nil
}

// statementText returns the words as one line that reads the same.
func statementText(words []word) string {
	var b strings.Builder
	for i, w := range words {
		if i > 0 && (w.quoted || w.text != ",") {
			b.WriteByte(' ')
		}
		if !w.quoted {
			b.WriteString(w.text)
			continue
		}
		fmt.Fprintf(&b, `"%s"`, strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(w.text))
	}
	return b.String()
}
