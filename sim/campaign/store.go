package campaign

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// StoreName is the file in a campaign's folder that its outcomes are kept in: a
// line with its identity, then a line for each case. What was cut short at its end is
// run again.
const StoreName = "outcomes.jsonl"

// Store keeps outcomes in a folder, so that a campaign can be taken up again.
type Store struct {
	file *os.File
	out  *bufio.Writer
	have map[string]Outcome
}

// OpenStore opens the store of a folder, which is made where there is none. The
// error says where it is of another campaign.
func OpenStore(folder string, identity Identity) (*Store, error) {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return nil, fmt.Errorf("the campaign's folder cannot be made: %w", err)
	}
	path := filepath.Join(folder, StoreName)
	found, have, good, err := ReadStore(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return nil, err
	case found != identity:
		return nil, fmt.Errorf("%s: it holds another campaign (%s), this is %s; allowed is another folder", path, found, identity)
	}
	file, err := os.OpenFile(path, os.O_RDWR|os.O_CREATE, 0o644)
	if err != nil {
		return nil, fmt.Errorf("the outcomes cannot be kept: %w", err)
	}
	s := &Store{file: file, out: bufio.NewWriter(file), have: map[string]Outcome{}}
	for _, o := range have {
		s.have[o.Key] = o
	}
	err = file.Truncate(good)
	if err == nil {
		_, err = file.Seek(good, io.SeekStart)
	}
	if err == nil && good == 0 {
		err = s.write(identity)
	}
	if err != nil {
		file.Close()
		return nil, fmt.Errorf("the outcomes cannot be kept: %w", err)
	}
	return s, nil
}

// Has returns the outcome of a case that was run before.
func (s *Store) Has(key string) (Outcome, bool) {
	o, ok := s.have[key]
	return o, ok
}

// Keep adds an outcome.
func (s *Store) Keep(o Outcome) error {
	if err := s.write(o); err != nil {
		return fmt.Errorf("the outcomes cannot be kept: %w", err)
	}
	return nil
}

func (s *Store) write(value any) error {
	line, err := json.Marshal(value)
	if err != nil {
		return err
	}
	_, err = s.out.Write(append(line, '\n'))
	return err
}

// Flush hands what was kept to the file.
func (s *Store) Flush() error { return s.out.Flush() }

// Close writes what is left and closes the file.
func (s *Store) Close() error {
	return errors.Join(s.out.Flush(), s.file.Close())
}

// ReadStore reads a store, and returns how many bytes of it are whole.
func ReadStore(path string) (identity Identity, list []Outcome, good int64, err error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return identity, nil, 0, fmt.Errorf("the outcomes cannot be read: %w", err)
	}
	number := 0
	for rest := data; len(rest) > 0; {
		end := 0
		for end < len(rest) && rest[end] != '\n' {
			end++
		}
		if end == len(rest) {
			break // cut short
		}
		number++
		var value any = &identity
		if number > 1 {
			list = append(list, Outcome{})
			value = &list[len(list)-1]
		}
		if err := json.Unmarshal(rest[:end], value); err != nil {
			return identity, nil, 0, fmt.Errorf("%s:%d: the line is no outcome of a campaign: %w", path, number, err)
		}
		good += int64(end) + 1
		rest = rest[end+1:]
	}
	return identity, list, good, nil
}

// String returns the identity in a sentence's part.
func (i Identity) String() string {
	return fmt.Sprintf("version %s, machine file %.12s, faults %s, %d cases", i.Program, i.Machine, i.Catalogue, i.Cases)
}
