package onewire

import (
	"errors"
	"io"
	"io/fs"
	"os"
)

// Reasons for which a file of the kernel gave nothing.
var (
	errAbsent = errors.New("it is not on the bus")
	errRead   = errors.New("the kernel's file cannot be read")
)

// keptFile is a file of the kernel that is read again and again. It stays open
// while it works, so that reading it takes no memory.
type keptFile struct {
	path string
	file *os.File
	buf  [160]byte // w1_slave fills about half of it
}

// read returns what the file says now, until the next call. It may be empty:
// this is how the kernel says that it has no value.
func (k *keptFile) read() ([]byte, error) {
	if k.file == nil {
		file, err := os.Open(k.path)
		if errors.Is(err, fs.ErrNotExist) {
			return nil, errAbsent
		}
		if err != nil {
			return nil, errRead
		}
		k.file = file
	}
	n, err := k.file.ReadAt(k.buf[:], 0)
	if n == 0 || err != nil && err != io.EOF {
		k.close() // a thermometer that comes back is another file
	}
	if err != nil && err != io.EOF {
		return nil, errRead
	}
	return k.buf[:n], nil
}

func (k *keptFile) close() {
	if k.file != nil {
		k.file.Close() // it was only read
		k.file = nil
	}
}

// set writes a text to a file of the kernel that must be there already.
func set(path, text string) error {
	file, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	_, err = file.WriteString(text)
	return errors.Join(err, file.Close())
}
