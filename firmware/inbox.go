package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"io/fs"
	"strings"

	"bathtender/firmware/journal"
)

const inboxFolder = "inbox"

// readInbox returns the notes that wait for the running program to take them in,
// in the order of their names, and what in the inbox is no note.
func readInbox(disk journal.Folder) (waiting []journal.Entry, damages []journal.Damage, err error) {
	files, err := disk.List(inboxFolder)
	if err != nil {
		return nil, nil, fmt.Errorf("the inbox of the journal cannot be read: %w", because(err))
	}
	for _, f := range files {
		if !strings.HasSuffix(f.Name, ".json") {
			continue // being written
		}
		name := inboxFolder + "/" + f.Name
		data, err := disk.Read(name)
		if errors.Is(err, fs.ErrNotExist) {
			continue // it has just been taken in
		}
		var note journal.Entry
		if err == nil {
			err = parseNote(bytes.TrimSuffix(data, []byte("\n")), &note)
		}
		if err != nil {
			damages = append(damages, journal.Damage{File: name, Text: fmt.Sprintf("it is no note: %v", because(err))})
			continue
		}
		waiting = append(waiting, note)
	}
	return waiting, damages, nil
}

// Where the checksum of a line stands, as in the journal's own files.
const (
	sumLead = `,"crc":"`
	sumTail = `"}`
)

// parseNote reads the line of a note.
func parseNote(line []byte, note *journal.Entry) error {
	cut := len(line) - len(sumLead) - 8 - len(sumTail)
	if cut < 1 || !bytes.HasPrefix(line[cut:], []byte(sumLead)) || !bytes.HasSuffix(line, []byte(sumTail)) {
		return errors.New("it does not end with its checksum")
	}
	sum := fmt.Sprintf("%08x", crc32.Checksum(line[:cut], crc32.MakeTable(crc32.Castagnoli)))
	if string(line[cut+len(sumLead):len(line)-len(sumTail)]) != sum {
		return errors.New("its checksum does not fit")
	}
	if err := json.Unmarshal(line, note); err != nil {
		return err
	}
	if note.Note == nil {
		return errors.New("it has no note in it")
	}
	return nil
}
