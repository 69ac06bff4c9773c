package bench

import (
	"bufio"
	"errors"
	"fmt"
	"io"
)

// Plain is lines that do not come from a terminal.
type Plain struct{ scanner *bufio.Scanner }

// plainMost is the longest line that is read, in bytes.
const plainMost = 64 << 10

// NewPlain returns the lines of a reader.
func NewPlain(in io.Reader) *Plain {
	s := bufio.NewScanner(in)
	s.Buffer(nil, plainMost)
	return &Plain{s}
}

// Next returns the next line; it asks for nothing.
func (p *Plain) Next(string) (string, error) {
	if p.scanner.Scan() {
		return p.scanner.Text(), nil
	}
	switch err := p.scanner.Err(); {
	case err == nil:
		return "", io.EOF
	case errors.Is(err, bufio.ErrTooLong):
		return "", fmt.Errorf("a line is longer than %d bytes, allowed are lines of statements", plainMost)
	default:
		return "", fmt.Errorf("the statements cannot be read: %w", err)
	}
}
