// Package cli is the manner of the project's command lines: a program with
// verbs, flags that may stand anywhere after a verb, help on standard output,
// and one sentence and an exit status for whatever goes wrong.
package cli

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"strings"
)

// Exit statuses.
const (
	OK     = 0
	Failed = 1 // an expectation, a file or a comparison failed
	Wrong  = 2 // the command line is wrong
)

// Streams is where a verb reads and writes.
type Streams struct {
	In       io.Reader
	Out, Err io.Writer
}

// Verb is one thing that a program can do.
type Verb struct {
	Name  string
	Args  string // the words that it takes besides flags, as in "MACHINE [RECIPE...]"
	About string // what it does, in one line
	More  string // what else there is to know; -help ends with it
	Run   func(io Streams, args []string) error
}

// Program is a program with its verbs.
type Program struct {
	Name  string
	About string // what it does, in one sentence
	Verbs []Verb
	// Default is the verb of a command line without one; empty where one must be
	// given.
	Default string
	// Usual is the sentence of the help on what happens without a verb.
	Usual string
}

// ErrFailed is an error whose sentences have been printed already.
var ErrFailed = errors.New("failed")

// UsageError is a command line that cannot be carried out.
type UsageError string

// Error implements error.
func (e UsageError) Error() string { return string(e) }

// Run runs one command line, without the program's name, and returns the exit
// status.
func (p *Program) Run(io Streams, args []string) int {
	out := &watched{to: io.Out}
	io.Out = out
	code := p.dispatch(io, args)
	if out.err != nil {
		fmt.Fprintf(io.Err, "standard output: %s\n", out.err)
		return max(code, Failed)
	}
	return code
}

func (p *Program) dispatch(io Streams, args []string) int {
	if len(args) == 0 {
		if p.Default == "" {
			p.usage(io.Err)
			return Wrong
		}
		args = []string{p.Default}
	}
	switch args[0] {
	case "help":
		if len(args) > 1 {
			args = []string{args[1], "-help"}
			break
		}
		p.usage(io.Out)
		return OK
	case "-h", "-help", "--help":
		p.usage(io.Out)
		return OK
	}
	if v := p.verb(args[0]); v != nil {
		return status(io, v, v.Run(io, args[1:]))
	}
	if v := p.verb(p.Default); v != nil && strings.HasPrefix(args[0], "-") {
		return status(io, v, v.Run(io, args))
	}
	fmt.Fprintf(io.Err, "there is no verb %q; allowed are %s\n", args[0], strings.Join(p.names(), ", "))
	return Wrong
}

func status(io Streams, v *Verb, err error) int {
	var wrong UsageError
	switch {
	case err == nil || errors.Is(err, flag.ErrHelp):
		return OK
	case errors.Is(err, ErrFailed):
		return Failed
	case errors.As(err, &wrong):
		fmt.Fprintf(io.Err, "%s: %s\n", v.Name, err)
		return Wrong
	default:
		fmt.Fprintln(io.Err, err)
		return Failed
	}
}

// verb returns the verb of that name, or nil.
func (p *Program) verb(name string) *Verb {
	for i := range p.Verbs {
		if p.Verbs[i].Name == name {
			return &p.Verbs[i]
		}
	}
	return nil
}

func (p *Program) names() []string {
	var names []string
	for i := range p.Verbs {
		names = append(names, p.Verbs[i].Name)
	}
	return names
}
