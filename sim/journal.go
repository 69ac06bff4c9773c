package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"time"

	"bathtender/firmware/journal"
	"bathtender/sim/scenario"
)

// openJournal returns the disk of a journal in a folder, and makes folder and
// journal where there is none.
func openJournal(folder string) (journal.Disk, error) {
	disk := journal.Folder(folder)
	switch entries, err := os.ReadDir(folder); {
	case errors.Is(err, fs.ErrNotExist):
		if err := os.MkdirAll(folder, 0o755); err != nil {
			return nil, fmt.Errorf("the journal's folder cannot be made: %w", err)
		}
	case err != nil:
		return nil, fmt.Errorf("the journal's folder cannot be read: %w", err)
	case len(entries) > 0:
		return disk, nil
	}
	return disk, journal.Create(disk)
}

// nextWall returns the wall clock of the next simulated run: the morning after
// the last one in the journal.
func nextWall(disk journal.Disk) (time.Time, error) {
	begun := scenario.Begun
	_, err := journal.Read(disk, func(e *journal.Entry, _ []byte) bool {
		for !begun.After(e.Wall.Time) {
			begun = begun.Add(24 * time.Hour)
		}
		return true
	})
	return begun, err
}
