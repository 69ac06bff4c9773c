// Package gpiosim is for tests that need real lines of a real kernel and have no
// board: it makes chips that the kernel simulates (its gpio-sim module), and is the
// other end of their wires. It needs root, configfs and that module.
package gpiosim

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
)

// Folder is where the kernel takes orders for simulated chips.
const Folder = "/sys/kernel/config/gpio-sim"

// Chip is a simulated chip.
type Chip struct {
	Path   string // of its device
	order  string // the folder in which it was ordered
	folder string // the folder that shows its lines
	pulls  []*os.File
	values []*os.File
	live   bool
}

// New makes a chip with a label and a number of lines, all of them pulled down. Its
// name must be its own among the chips that there are.
func New(name, label string, lines int) (*Chip, error) {
	c := &Chip{order: filepath.Join(Folder, name)}
	if err := c.make(label, lines); err != nil {
		return nil, errors.Join(fmt.Errorf("the simulated chip %s cannot be made: %w", name, err), c.Close())
	}
	return c, nil
}

func (c *Chip) make(label string, lines int) error {
	bank := filepath.Join(c.order, "bank0")
	for _, do := range []func() error{
		func() error { return os.Mkdir(c.order, 0o755) },
		func() error { return os.Mkdir(bank, 0o755) },
		func() error { return write(filepath.Join(bank, "num_lines"), fmt.Sprint(lines)) },
		func() error { return write(filepath.Join(bank, "label"), label) },
		func() error { return write(filepath.Join(c.order, "live"), "1") },
	} {
		if err := do(); err != nil {
			return err
		}
	}
	c.live = true
	device, err := os.ReadFile(filepath.Join(c.order, "dev_name"))
	if err != nil {
		return err
	}
	chip, err := os.ReadFile(filepath.Join(bank, "chip_name"))
	if err != nil {
		return err
	}
	name := strings.TrimSpace(string(chip))
	c.Path = "/dev/" + name
	c.folder = filepath.Join("/sys/devices/platform", strings.TrimSpace(string(device)), name)
	for i := range lines {
		line := filepath.Join(c.folder, fmt.Sprintf("sim_gpio%d", i))
		pull, err := os.OpenFile(filepath.Join(line, "pull"), os.O_RDWR, 0)
		if err != nil {
			return err
		}
		value, err := os.Open(filepath.Join(line, "value"))
		if err != nil {
			return errors.Join(err, pull.Close())
		}
		c.pulls, c.values = append(c.pulls, pull), append(c.values, value)
	}
	return nil
}

func write(path, text string) error { return os.WriteFile(path, []byte(text), 0o644) }

var up, down = []byte("pull-up"), []byte("pull-down")

// Set pulls a line up or down from outside. An input follows, with its edge; an
// output does not.
func (c *Chip) Set(offset int, high bool) error {
	to := down
	if high {
		to = up
	}
	_, err := c.pulls[offset].WriteAt(to, 0)
	return err
}

// High returns the level that is on a line, whoever drives it.
func (c *Chip) High(offset int) (bool, error) {
	var text [2]byte
	if n, err := c.values[offset].ReadAt(text[:], 0); n == 0 {
		return false, fmt.Errorf("the level of simulated line %d cannot be read: %w", offset, err)
	}
	return text[0] == '1', nil
}

// Unplug takes the chip away from whoever uses it.
func (c *Chip) Unplug() error {
	if !c.live {
		return nil
	}
	c.live = false
	return write(filepath.Join(c.order, "live"), "0")
}

// Close takes the chip away and forgets it.
func (c *Chip) Close() error {
	for _, files := range [][]*os.File{c.pulls, c.values} {
		for _, f := range files {
			_ = f.Close() // nothing was buffered
		}
	}
	c.pulls, c.values = nil, nil
	problems := []error{c.Unplug()}
	for _, folder := range []string{filepath.Join(c.order, "bank0"), c.order} {
		if err := os.Remove(folder); err != nil && !errors.Is(err, os.ErrNotExist) {
			problems = append(problems, err)
		}
	}
	return errors.Join(problems...)
}

var made atomic.Int32

// Need makes a chip for a test and takes it away after it. Without a kernel that
// simulates chips the test is skipped; in a guest, which has such a kernel, it fails
// (BATHTENDER_GUEST=1).
func Need(t testing.TB, label string, lines int) *Chip {
	t.Helper()
	if _, err := os.Stat(Folder); err != nil {
		if os.Getenv("BATHTENDER_GUEST") == "1" {
			t.Fatal("the kernel simulates no GPIO chips: " + err.Error())
		}
		t.Skip("the kernel simulates no GPIO chips: " + err.Error())
	}
	c, err := New(fmt.Sprintf("test-%d-%d", os.Getpid(), made.Add(1)), label, lines)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := c.Close(); err != nil {
			t.Error(err)
		}
	})
	return c
}
