package main

import (
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"bathtender/firmware/cli"
	"bathtender/firmware/fileerror"
	"bathtender/firmware/journal"
)

const newJournalMore = `The folder above it must be there: where a memory card is not mounted, nothing
is made in its place. A folder that is there already must be empty. The other
verbs look in ` + usualJournal + ` unless -journal names another.`

// newJournal makes an empty journal.
func newJournal(io cli.Streams, args []string) error {
	s := flag.NewFlagSet("new-journal", flag.ContinueOnError)
	words, err := program().Flags(s, io.Out, args, 1, 1)
	if err != nil {
		return err
	}
	folder := words[0]
	if folder == "" {
		return cli.UsageError("the folder has no name, allowed is FOLDER")
	}
	made, err := emptyFolder(folder)
	if err != nil {
		return err
	}
	if err := journal.Create(journal.Folder(folder)); err != nil {
		if made {
			_ = os.Remove(folder)
		}
		return fmt.Errorf("%s: %w", folder, err)
	}
	fmt.Fprintf(io.Out, "an empty journal is in %s\n", folder)
	return nil
}

// emptyFolder makes a folder, or makes sure that one which is there is empty.
func emptyFolder(folder string) (made bool, err error) {
	err = os.Mkdir(folder, 0o755)
	if err == nil {
		return true, syncFolder(filepath.Dir(filepath.Clean(folder)))
	}
	if errors.Is(err, fs.ErrNotExist) {
		return false, fmt.Errorf("%s cannot be made: the folder %s is not there", folder, filepath.Dir(filepath.Clean(folder)))
	}
	if !errors.Is(err, fs.ErrExist) {
		return false, fmt.Errorf("%s cannot be made: %w", folder, fileerror.Cause(err))
	}
	if info, err := os.Stat(folder); err == nil && !info.IsDir() {
		return false, fmt.Errorf("%s is no folder, allowed is one that is empty or not there yet", folder)
	}
	entries, err := os.ReadDir(folder)
	if err != nil {
		return false, fmt.Errorf("%s cannot be read: %w", folder, fileerror.Cause(err))
	}
	if isJournal(entries) {
		return false, fmt.Errorf("%s is a journal already; it is left as it is", folder)
	}
	for _, e := range entries {
		if e.IsDir() && e.Name() == "lost+found" {
			continue // an empty memory card has it
		}
		return false, fmt.Errorf("%s is not empty: %q is in it, allowed is an empty folder", folder, e.Name())
	}
	return false, nil
}

// syncFolder makes the names in a folder durable, where the system can.
func syncFolder(path string) error {
	folder, err := os.Open(path)
	if err != nil {
		return nil // it may be written and not read; the name is there all the same
	}
	defer folder.Close()
	_ = folder.Sync() // not every system can
	return nil
}
