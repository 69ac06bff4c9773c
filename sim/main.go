// Command bathtender-sim drives the supervisor in a modelled cabinet or from a
// recorded trace. Without arguments it plays the demo.
package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"strings"
)

// Exit statuses.
const (
	exitOK     = 0
	exitFailed = 1 // an expectation, a file or a comparison failed
	exitUsage  = 2 // the command line is wrong
)

// streams is where a verb reads and writes.
type streams struct {
	in       io.Reader
	out, err io.Writer
}

// verb is one thing that the program can do.
type verb struct {
	name, args, about string
	run               func(io streams, args []string) error
}

func verbs() []verb {
	return []verb{
		{"demo", "", "the built-in demo: a whole session with a fan that fails, and its report", demo},
		{"run", "SCENARIO...", "play scenarios and say whether what they expect came true", runScenarios},
		{"replay", "TRACE", "drive the loop with a recorded trace, and compare its decisions", replay},
		{"lockstep", "", "let another program be the cabinet, a trace row at a time", lockstep},
		{"check", "MACHINE [RECIPE...]", "check a machine file; print its sizing, matrix and wiring", check},
	}
}

func main() {
	os.Exit(command(streams{os.Stdin, os.Stdout, os.Stderr}, os.Args[1:]))
}

// command runs one command line and returns the exit status.
func command(io streams, args []string) int {
	if len(args) == 0 {
		args = []string{"demo"}
	}
	out := &watched{to: io.out}
	io.out = out
	code := dispatch(io, args)
	if out.err != nil {
		fmt.Fprintf(io.err, "standard output: %s\n", out.err)
		return max(code, exitFailed)
	}
	return code
}

// watched notes the first error of a stream, since a report that could not be
// printed must not pass for one that was.
type watched struct {
	to  io.Writer
	err error
}

func (w *watched) Write(p []byte) (int, error) {
	n, err := w.to.Write(p)
	if w.err == nil {
		w.err = err
	}
	return n, err
}

func dispatch(io streams, args []string) int {
	switch args[0] {
	case "help":
		if len(args) > 1 {
			args = []string{args[1], "-help"}
			break
		}
		usage(io.out)
		return exitOK
	case "-h", "-help", "--help":
		usage(io.out)
		return exitOK
	}
	for _, v := range verbs() {
		if v.name == args[0] {
			return status(io, v, v.run(io, args[1:]))
		}
	}
	if strings.HasPrefix(args[0], "-") {
		return status(io, verb{name: "demo"}, demo(io, args))
	}
	fmt.Fprintf(io.err, "there is no verb %q; allowed are %s\n", args[0], strings.Join(verbNames(), ", "))
	return exitUsage
}

// errFailed is an error whose sentences have been printed already.
var errFailed = errors.New("failed")

// usageError is a command line that cannot be carried out.
type usageError string

func (e usageError) Error() string { return string(e) }

func status(io streams, v verb, err error) int {
	var wrong usageError
	switch {
	case err == nil || errors.Is(err, flag.ErrHelp):
		return exitOK
	case errors.Is(err, errFailed):
		return exitFailed
	case errors.As(err, &wrong):
		fmt.Fprintf(io.err, "%s: %s\n", v.name, err)
		return exitUsage
	default:
		fmt.Fprintln(io.err, err)
		return exitFailed
	}
}

func verbNames() []string {
	var names []string
	for _, v := range verbs() {
		names = append(names, v.name)
	}
	return names
}

func usage(w io.Writer) {
	fmt.Fprint(w, "bathtender-sim drives the supervisor of an ultrasonic cleaning tank on a laptop.\n\n")
	for _, v := range verbs() {
		fmt.Fprintf(w, "  %-30s %s\n", v.name+" "+v.args, v.about)
	}
	fmt.Fprint(w, "\nWithout a verb it plays the demo. Each verb has -help.\n"+
		"Exit status: 0 all is well, 1 something failed, 2 the command line is wrong.\n")
}
