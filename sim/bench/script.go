package bench

import (
	"errors"
	"fmt"
	"strings"
)

// Script is statements that have all been read, with the cabinet that they are
// for.
type Script struct {
	Name       string
	Cabinet    Cabinet
	Statements []*Statement
}

// problemsMost is how many problems of one script are told.
const problemsMost = 20

// ReadScript reads a whole script from a source that has not read anything yet.
// The error has a sentence for each statement that is wrong.
func ReadScript(source *Source, text string) (*Script, error) {
	script := &Script{Name: source.Name}
	var problems []error
	wrong := 0
	for line := range strings.Lines(text) {
		st, err := source.Next(line)
		switch {
		case errors.As(err, &Problem{}):
			if wrong++; wrong <= problemsMost {
				problems = append(problems, err)
			}
		case err != nil:
			return nil, errors.Join(append(problems, err)...) // without a cabinet nothing more can be read
		case st != nil:
			script.Statements = append(script.Statements, st)
		}
	}
	if wrong > problemsMost {
		problems = append(problems, fmt.Errorf("%s: %d more statements are wrong", source.Name, wrong-problemsMost))
	}
	cabinet, err := source.Cabinet()
	if err != nil {
		problems = append(problems, err)
	} else {
		script.Cabinet = *cabinet
	}
	return script, errors.Join(problems...)
}

// Run does all statements on the session's bench. each, where it is not nil, is
// shown every statement before it is done.
func (sc *Script) Run(s *Session, each func(*Statement)) error {
	for _, st := range sc.Statements {
		if each != nil {
			each(st)
		}
		if _, on, err := s.Do(st); err != nil || !on {
			return err
		}
	}
	return nil
}
