package journal

import (
	"errors"
	"io"
)

// ErrInUse says that another program writes the journal.
var ErrInUse = errors.New("another program writes this journal")

const lockName = "lock"

// Lock takes the journal in a folder for this program. It is let go by Close,
// or when the program ends, however it ends. The error is ErrInUse where another
// program has it.
func (f Folder) Lock() (io.Closer, error) {
	file, err := f.lock()
	if err != nil {
		return nil, err
	}
	return file, nil
}
