// Command bathtender is the program on the board: it runs the loop, and asks the
// running loop and the journal for its owner.
package main

import (
	"os"

	"bathtender/firmware/cli"
)

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
			{Name: "prooftest", About: "walk through the protective functions on the real cabinet, and record what came of each", More: proofTestMore, Run: proofTest},
			{Name: "foiltest", About: "ask how the foil of a foil test looks, and record it", More: foilTestMore, Run: foilTest},
			{Name: "due", About: "say what is due: liquid, tests, parts to order", More: dueMore, Run: due},
			{Name: "dose", Args: "[LITRES]", About: "say how much detergent and water make a fill or a top-up", More: doseMore, Run: dose},
			{Name: "note", Args: "TEXT", About: "add a record of your own to the journal", More: noteMore, Run: note},
			{Name: "status", About: "show what the running program does, in the terminal", More: statusMore, Run: showStatus},
			{Name: "page", About: "serve a page to watch the tank, which can start nothing", More: pageMore, Run: servePage},
		},
	}
}

func main() {
	os.Exit(command(cli.Streams{In: os.Stdin, Out: os.Stdout, Err: os.Stderr}, os.Args[1:]))
}

// command runs one command line and returns the exit status.
func command(io cli.Streams, args []string) int { return program().Run(io, args) }
