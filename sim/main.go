// Command bathtender-sim drives the supervisor in a modelled cabinet or from a
// recorded trace. Without arguments it plays the demo.
package main

import (
	"io"
	"os"

	"bathtender/firmware/cli"
)

// Exit statuses.
const (
	exitOK     = cli.OK
	exitFailed = cli.Failed
	exitUsage  = cli.Wrong
)

// streams is where a verb reads and writes.
type streams struct {
	in       io.Reader
	out, err io.Writer
}

// usageError is a command line that cannot be carried out.
type usageError = cli.UsageError

// errFailed is an error whose sentences have been printed already.
var errFailed = cli.ErrFailed

func program() *cli.Program {
	return &cli.Program{
		Name:  "bathtender-sim",
		About: "drives the supervisor of an ultrasonic cleaning tank on a laptop.",
		Verbs: []cli.Verb{
			verb("demo", "", "the built-in demo: a whole session with a fan that fails, and its report", demo),
			verb("run", "SCENARIO...", "play scenarios and say whether what they expect came true", runScenarios),
			verb("replay", "TRACE", "drive the loop with a recorded trace, and compare its decisions", replay),
			verb("lockstep", "", "let another program be the cabinet, a trace row at a time", lockstep),
			verb("check", "MACHINE [RECIPE...]", "check a machine file; print its sizing, matrix and wiring", check),
			verb("bench", "[SCRIPT...]", "set readings by hand, or from scripts, and see what the supervisor does", handOnBench),
			verb("campaign", "", "try every fault in every phase, and pairs, and see what they lead to", runCampaign),
			verb("merge", "FOLDER...", "put the parts of a campaign together", merge),
		},
		Default: "demo",
		Usual:   "Without a verb it plays the demo.",
	}
}

func verb(name, args, about string, run func(io streams, args []string) error) cli.Verb {
	return cli.Verb{Name: name, Args: args, About: about, Run: func(io cli.Streams, args []string) error {
		return run(streams{io.In, io.Out, io.Err}, args)
	}}
}

func main() {
	os.Exit(command(streams{os.Stdin, os.Stdout, os.Stderr}, os.Args[1:]))
}

// command runs one command line and returns the exit status.
func command(io streams, args []string) int {
	return program().Run(cli.Streams{In: io.in, Out: io.out, Err: io.err}, args)
}
