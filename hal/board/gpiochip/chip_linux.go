package gpiochip

import (
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"strings"

	"golang.org/x/sys/unix"

	"bathtender/hal/quantity"
)

// Chip is one GPIO chip of the board.
type Chip struct {
	Path  string // "/dev/gpiochip0"; may be another one after the next start
	Name  string // the kernel's, "gpiochip0"
	Label string // what the chip calls itself; stays the same
	Lines int
}

const devices = "/dev/gpiochip*"

// List returns the board's chips in the order of their paths, a chip that two
// paths lead to once. The error has a sentence for each one that cannot be asked.
func List() ([]Chip, error) { return list(devices) }

func list(pattern string) ([]Chip, error) {
	paths, err := filepath.Glob(pattern)
	if err != nil {
		return nil, fmt.Errorf("the GPIO chips cannot be listed: %w", err)
	}
	var chips []Chip
	var problems []error
	seen := map[uint64]bool{}
	for _, path := range paths {
		var stat unix.Stat_t
		if err := unix.Stat(path, &stat); err == nil && seen[uint64(stat.Rdev)] && stat.Rdev != 0 {
			continue
		}
		seen[uint64(stat.Rdev)] = true
		chip, err := ask(path)
		if err != nil {
			problems = append(problems, err)
			continue
		}
		chips = append(chips, chip)
	}
	return chips, errors.Join(problems...)
}

// Find returns the chip with the given label, or at the given path where that
// begins with a slash. A label that two chips carry is an error, as is one that
// none carries.
func Find(chip string) (Chip, error) { return find(chip, devices) }

func find(label, pattern string) (Chip, error) {
	if strings.HasPrefix(label, "/") {
		return ask(label)
	}
	chips, err := list(pattern)
	var found []Chip
	var others []string
	for _, c := range chips {
		if c.Label == label {
			found = append(found, c)
		}
		others = append(others, fmt.Sprintf("%s (%s, %s)", quantity.Quote(c.Label), c.Path, quantity.Count(c.Lines, "line")))
	}
	switch {
	case len(found) == 1:
		return found[0], nil
	case len(found) > 1:
		return Chip{}, fmt.Errorf("%s have the label %s: %s and %s; allowed is the path of one of them",
			quantity.Count(len(found), "GPIO chip"), quantity.Quote(label), found[0].Path, found[1].Path)
	case err != nil:
		return Chip{}, fmt.Errorf("no GPIO chip with the label %s was found: %w", quantity.Quote(label), err)
	case len(others) == 0:
		return Chip{}, fmt.Errorf("no GPIO chip has the label %s: this board has none at %s", quantity.Quote(label), pattern)
	default:
		return Chip{}, fmt.Errorf("no GPIO chip has the label %s, there are %s", quantity.Quote(label), strings.Join(others, ", "))
	}
}

// ask returns what the chip at a path says of itself.
func ask(path string) (Chip, error) {
	fd, err := open(path)
	if err != nil {
		return Chip{}, err
	}
	defer unix.Close(fd)
	return about(fd, path)
}

func open(path string) (int, error) {
	for {
		fd, err := unix.Open(path, unix.O_RDWR|unix.O_CLOEXEC, 0)
		switch {
		case err == nil:
			return fd, nil
		case err == unix.EINTR:
		case errors.Is(err, fs.ErrPermission):
			return -1, fmt.Errorf("the GPIO chip at %s cannot be opened: %w; allowed is a user of the group that owns it", path, err)
		default:
			return -1, fmt.Errorf("the GPIO chip at %s cannot be opened: %w", path, err)
		}
	}
}

func about(fd int, path string) (Chip, error) {
	var info unix.GPIOChipInfo
	if err := ioctl(fd, unix.GPIO_GET_CHIPINFO_IOCTL, &info); err != nil {
		return Chip{}, fmt.Errorf("%s is not a GPIO chip: %w", path, err)
	}
	return Chip{Path: path, Name: text(info.Name[:]), Label: text(info.Label[:]), Lines: int(info.Lines)}, nil
}

// String returns the chip as messages name it: its label, or its path where it has
// none.
func (c Chip) String() string {
	if c.Label == "" {
		return c.Path
	}
	return quantity.Quote(c.Label)
}
