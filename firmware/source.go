package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"

	"bathtender/firmware/fileerror"
	"bathtender/firmware/journal"
)

// openJournal returns the journal in a folder, to be read. The error says why
// there is none.
func openJournal(folder string) (journal.Folder, error) {
	info, err := os.Stat(folder)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "", fmt.Errorf("there is no journal in %q: the folder is not there", folder)
	case err != nil:
		return "", fmt.Errorf("the journal in %q cannot be read: %w", folder, fileerror.Cause(err))
	case !info.IsDir():
		return "", fmt.Errorf("%q is no folder, allowed is that of a journal", folder)
	}
	entries, err := os.ReadDir(folder)
	if err != nil {
		return "", fmt.Errorf("the journal in %q cannot be read: %w", folder, fileerror.Cause(err))
	}
	if !isJournal(entries) {
		return "", fmt.Errorf("there is no journal in %q; new-journal makes one", folder)
	}
	return journal.Folder(folder), nil
}

// isJournal reports whether what is in a folder is a journal, or what is left of
// one.
func isJournal(entries []fs.DirEntry) bool {
	return slices.ContainsFunc(entries, func(e fs.DirEntry) bool { return journal.IsPart(e.Name()) })
}
