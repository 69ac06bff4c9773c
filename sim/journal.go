package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"time"

	"bathtender/firmware/journal"
	"bathtender/sim/scenario"
)

// openJournal returns the disk of a journal in a folder, and makes folder and
// journal where there is none. The journal is this program's until the closer is
// closed.
func openJournal(folder string) (journal.Disk, io.Closer, error) {
	disk := journal.Folder(folder)
	if err := makeJournal(disk); err != nil {
		return nil, nil, err
	}
	lock, err := disk.Lock()
	if err != nil {
		return nil, nil, fmt.Errorf("the journal in %s cannot be written: %w", folder, err)
	}
	return disk, lock, nil
}

func makeJournal(disk journal.Folder) error {
	folder := string(disk)
	switch entries, err := os.ReadDir(folder); {
	case errors.Is(err, fs.ErrNotExist):
		if err := os.MkdirAll(folder, 0o755); err != nil {
			return fmt.Errorf("the journal's folder cannot be made: %w", err)
		}
	case err != nil:
		return fmt.Errorf("the journal's folder cannot be read: %w", err)
	case len(entries) > 0:
		return nil
	}
	return journal.Create(disk)
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
