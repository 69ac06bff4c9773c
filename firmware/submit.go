package main

import (
	"fmt"
	"time"

	"bathtender/firmware/cli"
	"bathtender/firmware/journal"
	"bathtender/firmware/version"
)

// submitNote hands in what its owner adds to the journal, and says what came of it.
// The entry has its kind, text and note.
func submitNote(io cli.Streams, folder journal.Folder, e *journal.Entry, now time.Time) (recorded bool, err error) {
	e.Wall, e.Program = journal.Wall{Time: now}, version.Version
	if e.Note.ID, err = noteID(now); err != nil {
		return false, err
	}
	if recorded, err = journal.Submit(folder, e); err != nil {
		return false, err
	}
	if !recorded {
		fmt.Fprintln(io.Out, "the note waits in the inbox, until the program that writes this journal takes it in")
		return false, nil
	}
	return true, readBack(io, folder, e.Note.ID)
}
