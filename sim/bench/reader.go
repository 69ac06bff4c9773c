package bench

import (
	"fmt"
	"slices"
	"strings"

	"bathtender/hal/quantity"
)

// Statement is one statement of the language, read and ready to be done.
type Statement struct {
	At   Place
	Text string // as it was written, without its comment
	act  action
}

// action is what a statement does. Its error ends the session.
type action interface {
	do(s *Session, at Place) error
}

// reader reads one line for a cabinet.
type reader struct {
	cabinet *Cabinet
	place   Place // of the line
	words   []word
	at      int // the next word
	end     int // column after the last word
}

// statementWords are what a statement begins with, as help lists them.
var statementWords = []string{
	"set", "ramp", "follow", "start", "stop", "reset", "hold", "wait", "late", "restart",
	"expect", "show", "explain", "help", "history", "quit", "use",
}

// statement reads the rest of the line.
func (r *reader) statement() (action, error) {
	w, _ := r.next()
	if w.quoted {
		return nil, r.unknown(w, "statement", statementWords)
	}
	var act action
	var err error
	switch w.text {
	case "set":
		act, err = r.set()
	case "ramp":
		act, err = r.ramp()
	case "follow":
		act, err = r.follow()
	case "start", "stop", "reset":
		act, err = r.press(w)
	case "hold":
		act, err = r.hold()
	case "wait":
		act, err = r.wait()
	case "late":
		act, err = r.late()
	case "restart":
		act, err = r.restart()
	case "expect":
		act, err = r.expect()
	case "explain":
		act, err = r.explain()
	case "help":
		act, err = r.help()
	case "show":
		act = show{}
	case "history":
		act = history{}
	case "quit":
		act = quit{}
	default:
		return nil, r.unknown(w, "statement", statementWords)
	}
	if err != nil {
		return nil, err
	}
	return act, r.done()
}

// next returns the next word.
func (r *reader) next() (word, bool) {
	if r.at >= len(r.words) {
		return word{column: r.end}, false
	}
	r.at++
	return r.words[r.at-1], true
}

// peek returns the next word's text where it is a plain word.
func (r *reader) peek() string {
	if r.at >= len(r.words) || r.words[r.at].quoted {
		return ""
	}
	return r.words[r.at].text
}

// take takes the next word if it is the given one.
func (r *reader) take(text string) bool {
	if r.peek() != text {
		return false
	}
	r.at++
	return true
}

// need reads a word that must stand there.
func (r *reader) need(text string) error {
	w, ok := r.next()
	switch {
	case !ok:
		return r.wrong(w, "the statement ends where %s is needed", quantity.Quote(text))
	case w.quoted || w.text != text:
		return r.wrong(w, "%s stands where %s is needed", quantity.Quote(w.text), quantity.Quote(text))
	}
	return nil
}

// done says that there is a word too many.
func (r *reader) done() error {
	if w, more := r.next(); more {
		return r.wrong(w, "%s is one word too many, allowed is the end of the statement", quantity.Quote(w.text))
	}
	return nil
}

func (r *reader) wrong(w word, format string, args ...any) error {
	at := r.place
	at.Column = w.column
	return Problem{at, fmt.Sprintf(format, args...)}
}

// missing says that the statement ends too early.
func (r *reader) missing(what string, allowed []string) error {
	return r.wrong(word{column: r.end}, "the statement ends where %s is needed, allowed %s", what, are(allowed))
}

// unknown says that a word is none of those that may stand there.
func (r *reader) unknown(w word, what string, allowed []string) error {
	near := ""
	if nearest := quantity.Nearest(w.text, allowed); nearest != "" {
		near = fmt.Sprintf("did you mean %s? ", nearest)
	}
	return r.wrong(w, "there is no %s %s, %sallowed %s", what, quantity.Quote(w.text), near, are(allowed))
}

// article puts a or an before a name.
func article(name string) string {
	if strings.ContainsRune("aeiou", rune(name[0])) {
		return "an " + name
	}
	return "a " + name
}

func are(allowed []string) string {
	if len(allowed) == 1 {
		return "is " + allowed[0]
	}
	return "are " + quantity.List(allowed)
}

// one reads a word that must be one of the given.
func (r *reader) one(what string, allowed ...string) (string, error) {
	w, ok := r.next()
	switch {
	case !ok:
		return "", r.missing(article(what), allowed)
	case w.quoted || !slices.Contains(allowed, w.text):
		return "", r.unknown(w, what, allowed)
	}
	return w.text, nil
}

// until joins the words up to one of the given, a comma or the end.
func (r *reader) until(stops ...string) (text string, from word) {
	from = word{column: r.end}
	if r.at < len(r.words) {
		from = r.words[r.at]
	}
	var parts []string
	for r.at < len(r.words) {
		w := r.words[r.at]
		if !w.quoted && (w.text == "," || slices.Contains(stops, w.text)) {
			break
		}
		parts = append(parts, w.text)
		r.at++
	}
	return strings.Join(parts, " "), from
}
