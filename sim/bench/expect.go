package bench

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"bathtender/hal/quantity"
)

// clause is one thing that may be so or not.
type clause struct {
	wanted string // what is expected: "heater on"
	column int    // where it stands
	not    bool
	// look tells whether it is so, and how it is: "the heater is off".
	look func(s *Session) (so bool, is string)
}

// mismatch is a clause that is not so, and how it is.
type mismatch struct {
	*clause
	found string
}

// missing returns the first clause that is not so; nil where all are.
func (s *Session) missing(list []clause) *mismatch {
	for i := range list {
		c := &list[i]
		if so, is := c.look(s); so == c.not {
			return &mismatch{c, is}
		}
	}
	return nil
}

// expecting is expect: clauses that must all be so now.
type expecting struct{ clauses []clause }

func (r *reader) expect() (action, error) {
	clauses, err := r.clauses()
	return &expecting{clauses}, err
}

func (e *expecting) do(s *Session, at Place) error {
	for i := range e.clauses {
		s.Expected++
		if missing := s.missing(e.clauses[i : i+1]); missing != nil {
			at.Column = missing.column
			if err := s.fail(at, fmt.Sprintf("expected %s, but %s", missing.wanted, missing.found)); err != nil {
				return err
			}
		}
	}
	return nil
}

// clauses reads clauses with commas between them, up to one of the given words.
func (r *reader) clauses(stops ...string) ([]clause, error) {
	var list []clause
	for {
		column := r.end
		if r.at < len(r.words) {
			column = r.words[r.at].column
		}
		c, err := r.clause(stops)
		if err != nil {
			return nil, err
		}
		c.column = column
		list = append(list, c)
		if !r.take(",") {
			return list, nil
		}
	}
}

// clauseWords are what a clause begins with.
var clauseWords = []string{
	"contactor", "fans", "heater", "emission", "bank", "sounder", "lamp", "watchdog",
	"permit", "phase", "tripped", "held", "no", "first-out", "said", "delay", "not",
}

func (r *reader) clause(stops []string) (c clause, err error) {
	w, ok := r.next()
	if !ok {
		return c, r.missing("what is expected", clauseWords)
	}
	if w.quoted {
		return c, r.unknown(w, "expectation", clauseWords)
	}
	switch w.text {
	case "not":
		c, err = r.clause(stops)
		c.not = !c.not
		c.wanted = "not " + c.wanted
		return c, err
	case "permit":
		return r.permit()
	case "phase":
		return r.phase()
	case "tripped", "held", "first-out":
		return r.latched(w.text)
	case "no":
		return r.none()
	case "said":
		return r.spoken()
	case "delay":
		return r.filled(stops)
	case "contactor", "fans", "heater", "emission", "bank", "sounder", "lamp", "watchdog":
		return r.output(w)
	}
	return c, r.unknown(w, "expectation", clauseWords)
}

// spoken reads a sentence, * standing for any text.
func (r *reader) spoken() (clause, error) {
	w, ok := r.next()
	if !ok || !w.quoted {
		return clause{}, r.wrong(w, `said needs a sentence in quotes, as in said "fan 2 at *"`)
	}
	parts := strings.Split(w.text, "*")
	for i := range parts {
		parts[i] = regexp.QuoteMeta(parts[i])
	}
	pattern := regexp.MustCompile("(?s)^" + strings.Join(parts, ".*") + "$")
	return clause{
		wanted: "said " + strconv.Quote(w.text),
		look: func(s *Session) (bool, string) {
			for i := range s.said {
				if pattern.MatchString(s.said[i].Text) {
					return true, "it was said"
				}
			}
			return false, s.heard()
		},
	}, nil
}

// heard tells what was said since time last passed.
func (s *Session) heard() string {
	const most = 3
	var list []string
	for i := range s.said {
		if len(list) == most {
			list = append(list, fmt.Sprintf("%d more", len(s.said)-most))
			break
		}
		list = append(list, strconv.Quote(s.said[i].Text))
	}
	if len(list) == 0 {
		return "nothing was said"
	}
	return "this was said: " + quantity.List(list)
}
