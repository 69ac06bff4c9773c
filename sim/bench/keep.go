package bench

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
)

// Kept is a file that keeps what is typed, as a script that does the same again.
// Each statement is in the file as soon as it has been done.
type Kept struct {
	file *os.File
	dir  string
}

// Keep makes the file, which must not exist yet.
func Keep(path string) (*Kept, error) {
	file, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, os.ErrExist) {
		return nil, fmt.Errorf("%s: the file exists already; allowed is a new name, since what was kept is never overwritten", path)
	}
	if err != nil {
		return nil, fmt.Errorf("what is typed cannot be kept: %w", err)
	}
	dir, err := filepath.Abs(filepath.Dir(path))
	if err != nil {
		dir = filepath.Dir(path)
	}
	k := &Kept{file, dir}
	return k, k.Line("# Kept from a bench.")
}

// Line puts a line into the file.
func (k *Kept) Line(text string) error {
	if _, err := k.file.WriteString(text + "\n"); err != nil {
		return fmt.Errorf("what is typed cannot be kept: %w", err)
	}
	return nil
}

// Uses puts in which files are on the bench, by their way from where the kept
// file lies.
func (k *Kept) Uses(machine string, recipes []string) error {
	use := func(what, path string) error {
		if absolute, err := filepath.Abs(path); err == nil {
			path = absolute
			if relative, err := filepath.Rel(k.dir, absolute); err == nil {
				path = relative
			}
		}
		return k.Line(fmt.Sprintf(`use %s "%s"`, what, strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(filepath.ToSlash(path))))
	}
	if machine != "" {
		if err := use("machine", machine); err != nil {
			return err
		}
	}
	for _, path := range recipes {
		if err := use("recipe", path); err != nil {
			return err
		}
	}
	return nil
}

// Close closes the file.
func (k *Kept) Close() error {
	if err := k.file.Close(); err != nil {
		return fmt.Errorf("what is typed cannot be kept: %w", err)
	}
	return nil
}
