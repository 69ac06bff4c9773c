// Command bathtender-sim drives the supervisor in a modelled cabinet or from a
// recorded trace. Without arguments it plays the demo.
package main

import (
	"os"

	"bathtender/firmware/cli"
)

// usageError is a command line that cannot be carried out.
type usageError = cli.UsageError

// errFailed is an error whose sentences have been printed already.
var errFailed = cli.ErrFailed

func program() *cli.Program {
	return &cli.Program{
		Name:  "bathtender-sim",
		About: "drives the supervisor of an ultrasonic cleaning tank on a laptop.",
		Verbs: []cli.Verb{
			{Name: "demo", About: "the built-in demo: a whole session with a fan that fails, and its report", Run: demo},
			{Name: "run", Args: "SCENARIO...", About: "play scenarios and say whether what they expect came true", Run: runScenarios},
			{Name: "replay", Args: "TRACE", About: "drive the loop with a recorded trace, and compare its decisions", Run: replay},
			{Name: "lockstep", About: "let another program be the cabinet, a trace row at a time", Run: lockstep},
			{Name: "check", Args: "MACHINE [RECIPE...]", About: "check a machine file; print its sizing, matrix and wiring", Run: check},
			{Name: "bench", Args: "[SCRIPT...]", About: "set readings by hand, or from scripts, and see what the supervisor does", Run: handOnBench},
			{Name: "live", About: "a modelled cabinet in real time or faster, with buttons to press and faults to make", More: liveMore, Run: runLive},
			{Name: "campaign", About: "try every fault in every phase, and pairs, and see what they lead to", Run: runCampaign},
			{Name: "merge", Args: "FOLDER...", About: "put the parts of a campaign together", Run: merge},
		},
		Default: "demo",
		Usual:   "Without a verb it plays the demo.",
	}
}

func main() {
	os.Exit(command(cli.Streams{In: os.Stdin, Out: os.Stdout, Err: os.Stderr}, os.Args[1:]))
}

// command runs one command line and returns the exit status.
func command(io cli.Streams, args []string) int { return program().Run(io, args) }
