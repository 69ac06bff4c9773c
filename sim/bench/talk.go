package bench

import (
	"errors"
	"io"
	"strings"

	"bathtender/sim/report"
)

// Lines is where statements come from one by one. Next is given what to ask with,
// and returns io.EOF after the last line.
type Lines interface {
	Next(prompt string) (string, error)
}

// Talk is a session whose statements are read while it goes on: at a prompt, or
// from another program that waits for each answer.
type Talk struct {
	Source *Source
	Lines  Lines
	*Session
	// Begun is called when the bench has been made, before its first statement.
	Begun func(*Bench) error
	// Each is called before a statement is done, Done after it with how it came
	// out and how many expectations were met.
	Each func(*Statement)
	Done func(st *Statement, did string, met int)
	// Keep is where statements are kept; nil for nowhere.
	Keep *Kept
	// Wrong counts the statements that could not be read.
	Wrong int
}

// Run reads and does statements to the end of the lines, or until quit.
func (t *Talk) Run() error {
	for {
		line, err := t.Lines.Next(t.prompt())
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return err
		}
		on, err := t.take(line)
		if err != nil || !on {
			return err
		}
	}
}

// prompt has the bench's clock.
func (t *Talk) prompt() string {
	if t.Bench == nil {
		return report.Clock(0) + "> "
	}
	return report.Clock(t.Bench.Now()) + "> "
}

func (t *Talk) take(line string) (on bool, err error) {
	st, err := t.Source.Next(line)
	if errors.As(err, &Problem{}) {
		t.Wrong++
		t.Fail(err.Error())
		return true, nil
	}
	if err != nil {
		return false, err
	}
	if st == nil {
		if comment := strings.TrimSpace(line); strings.HasPrefix(comment, "#") && t.Keep != nil {
			return true, t.Keep.Line(comment)
		}
		return true, nil
	}
	if t.Bench == nil {
		if err := t.begin(); err != nil {
			return false, err
		}
	}
	if t.Each != nil {
		t.Each(st)
	}
	before := t.Expected - t.Failed
	did, on, err := t.Do(st)
	if err != nil {
		return false, err
	}
	if t.Done != nil {
		t.Done(st, did, t.Expected-t.Failed-before)
	}
	if t.Keep != nil {
		err = t.Keep.Line(did)
	}
	return on, err
}

// begin puts the bench together.
func (t *Talk) begin() error {
	cabinet, err := t.Source.Cabinet()
	if err != nil {
		return err
	}
	t.Bench = New(*cabinet)
	if t.Keep != nil {
		if err := t.Keep.Uses(t.Source.Machine, t.Source.Recipes); err != nil {
			return err
		}
	}
	if t.Begun != nil {
		return t.Begun(t.Bench)
	}
	return nil
}
