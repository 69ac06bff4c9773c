// Command bathtender is the program on the board. It makes a journal, reads it,
// and takes its owner's notes into it.
package main

import (
	"os"

	"bathtender/firmware/cli"
)

// usualJournal is where a board has its journal unless it is told otherwise.
const usualJournal = "/var/lib/bathtender"

func program() *cli.Program {
	return &cli.Program{
		Name:  "bathtender",
		About: "is the program on the board of an ultrasonic cleaning tank.",
		Verbs: []cli.Verb{
			{Name: "run", Args: "RECIPE...", About: "open the board and run the loop until told to end", More: runMore, Run: run},
			{Name: "wiring", About: "try the wiring of a board, with the main contactor locked out", More: wiringMore, Run: tryWiring},
			{Name: "start", Args: "RECIPE", About: "select a recipe in the running program, or start it where the machine file allows that", More: startMore, Run: start},
			{Name: "stop", About: "stop the running session: everything off but the fans", Run: stop},
			{Name: "reset", About: "reset what has tripped, where the machine file allows that from afar", More: resetMore, Run: reset},
			{Name: "new-journal", Args: "FOLDER", About: "make an empty journal in a folder, which is made too", More: newJournalMore, Run: newJournal},
			{Name: "log", About: "list what the journal holds, or show one record in full; nothing is changed", More: logMore, Run: readLog},
			{Name: "note", Args: "TEXT", About: "add a record of your own to the journal", More: noteMore, Run: note},
		},
	}
}

func main() {
	os.Exit(command(cli.Streams{In: os.Stdin, Out: os.Stdout, Err: os.Stderr}, os.Args[1:]))
}

// command runs one command line and returns the exit status.
func command(io cli.Streams, args []string) int { return program().Run(io, args) }
