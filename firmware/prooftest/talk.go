package prooftest

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"strings"
)

// Talk is the conversation with whoever stands at the cabinet: sentences, and
// questions that take yes, no or skip.
type Talk struct {
	out     io.Writer
	lines   chan string
	ended   context.Context
	reading bool
	in      io.Reader
}

// NewTalk returns a conversation. It ends when the answers do, or the context.
func NewTalk(ctx context.Context, in io.Reader, out io.Writer) *Talk {
	return &Talk{out: out, in: in, ended: ctx, lines: make(chan string)}
}

// Say prints a line.
func (t *Talk) Say(format string, args ...any) { fmt.Fprintf(t.out, format+"\n", args...) }

// Answer is an answer to a question.
type Answer uint8

// Answers. None is that nobody answers any more.
const (
	None Answer = iota
	Yes
	No
	Skip
)

var answers = map[string]Answer{"yes": Yes, "y": Yes, "no": No, "n": No, "skip": Skip, "s": Skip}

// Ask asks until there is an answer that can be taken.
func (t *Talk) Ask(question string) Answer {
	for {
		fmt.Fprintf(t.out, "%s (yes, no, skip) ", question)
		line, ok := t.line()
		if !ok {
			return None
		}
		word := strings.ToLower(strings.TrimSpace(line))
		if answer, known := answers[word]; known {
			return answer
		}
		t.Say("%q is no answer to this, allowed are yes, no and skip.", word)
	}
}

// Choose asks until one of some words is given; "" is that nobody answers any more.
func (t *Talk) Choose(question string, words []string) string {
	for {
		fmt.Fprintf(t.out, "%s (%s) ", question, strings.Join(words, ", "))
		line, ok := t.line()
		if !ok {
			return ""
		}
		given := strings.ToLower(strings.TrimSpace(line))
		for _, word := range words {
			if given == word {
				return word
			}
		}
		t.Say("%q is not among them, allowed are %s.", given, strings.Join(words, ", "))
	}
}

// Words asks for a line of any words; false where nobody answers any more.
func (t *Talk) Words(question string) (string, bool) {
	fmt.Fprintf(t.out, "%s ", question)
	return t.line()
}

// line returns the next line; false where there is none, or all is to end.
func (t *Talk) line() (string, bool) {
	if t.ended.Err() != nil {
		return "", false
	}
	if !t.reading {
		t.reading = true
		go t.read()
	}
	select {
	case line, ok := <-t.lines:
		if !ok {
			t.Say("")
		}
		return line, ok
	case <-t.ended.Done():
		t.Say("")
		return "", false
	}
}

func (t *Talk) read() {
	defer close(t.lines)
	scan := bufio.NewScanner(t.in)
	for scan.Scan() {
		select {
		case t.lines <- scan.Text():
		case <-t.ended.Done():
			return
		}
	}
}
