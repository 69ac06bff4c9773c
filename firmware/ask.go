package main

import (
	"flag"
	"fmt"
	"path/filepath"

	"bathtender/firmware/cli"
	"bathtender/firmware/control"
)

// usualSockets is where a board has its sockets unless it is told otherwise.
const usualSockets = "/run/bathtender"

const startMore = `Unless the machine file allows more, this only selects the recipe: whoever stands at
the cabinet presses START within half a minute. Look into the bath first.`

const resetMore = `Unless the machine file allows more, a reset takes the RESET button at the cabinet:
look at what has tripped before it is reset.`

func start(io cli.Streams, args []string) error { return ask(io, args, "start", 1) }
func stop(io cli.Streams, args []string) error  { return ask(io, args, "stop", 0) }
func reset(io cli.Streams, args []string) error { return ask(io, args, "reset", 0) }

// ask asks the running program for something.
func ask(io cli.Streams, args []string, verb string, words int) error {
	s := flag.NewFlagSet(verb, flag.ContinueOnError)
	socket := s.String("socket", filepath.Join(usualSockets, control.ControlSocket), "`FILE` of the program's control socket")
	given, err := program().Flags(s, io.Out, args, words, words)
	if err != nil {
		return err
	}
	asked := control.Asked{Ask: verb}
	if words > 0 {
		asked.Recipe = given[0]
		if asked.Recipe == "" {
			return cli.UsageError("the recipe has no name, allowed is RECIPE")
		}
	}
	text, err := control.Ask(*socket, asked)
	if err != nil {
		return err
	}
	fmt.Fprintln(io.Out, text)
	return nil
}
