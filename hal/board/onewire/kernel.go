package onewire

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal/board/sampled"
	"bathtender/hal/quantity"
)

// Kernel returns thermometers that Linux reads, under the given root, usually
// Root. Nothing is opened yet, and a thermometer may come later.
func Kernel(root string, c Config) *Thermometers {
	k := &kernel{root: root, probes: c.Probes, of: make([]kernelProbe, len(c.Probes))}
	for i, p := range c.Probes {
		folder := filepath.Join(root, p.Address)
		k.of[i].temperature.path = filepath.Join(folder, "temperature")
		k.of[i].slave.path = filepath.Join(folder, "w1_slave")
		k.of[i].bits.Log = c.Log
	}
	return newThermometers(c, k)
}

type kernel struct {
	root   string
	probes []Probe
	of     []kernelProbe
	bulk   []*os.File // each starts a conversion of a whole bus
	looked bool       // bulk is known
}

type kernelProbe struct {
	temperature, slave keptFile
	bits               sampled.Condition
	prepared           bool
}

// convert makes all thermometers of the bus measure at the same time, where the
// kernel can (from version 5.10, from memory): three in a row would take longer
// than a reading counts.
func (k *kernel) convert(context.Context) (bool, error) {
	if len(k.probes) < 2 {
		return false, nil
	}
	if !k.looked {
		k.look()
	}
	together := len(k.bulk) > 0
	for _, file := range k.bulk {
		if _, err := file.WriteAt(trigger, 0); err != nil {
			k.looked = false // a bus may have gone, or come
			together = false
		}
	}
	return together, nil
}

// trigger starts a conversion. The kernel takes the word with its line end only.
var trigger = []byte("trigger\n")

// look finds the buses of our thermometers. One that cannot convert at once is
// left out together with all others: then each thermometer measures by itself.
func (k *kernel) look() {
	k.closeBulk()
	k.looked = true
	for _, master := range masters(k.root, k.probes) {
		file, err := os.OpenFile(filepath.Join(master, "therm_bulk_read"), os.O_WRONLY, 0)
		if err != nil {
			k.closeBulk()
			return
		}
		k.bulk = append(k.bulk, file)
	}
}

func (k *kernel) closeBulk() {
	for _, file := range k.bulk {
		file.Close() // each write was told by itself
	}
	k.bulk = k.bulk[:0]
}

func (k *kernel) read(_ context.Context, i int) (physic.Temperature, error) {
	p := &k.of[i]
	if !p.prepared {
		if _, err := os.Stat(filepath.Join(k.root, k.probes[i].Address)); err != nil {
			return 0, k.absent()
		}
		k.prepare(i)
		k.looked = false // its bus may be a new one
	}
	value, err := p.value()
	if err != nil {
		// Whoever comes back may be another one, or have lost its settings.
		p.prepared, k.looked = false, false
	}
	return value, err
}

// absent says that a thermometer is not there, and which others are: an address
// may be mistyped, or a thermometer may have been replaced.
func (k *kernel) absent() error {
	found, err := List(k.root)
	if err != nil {
		return err
	}
	others := slices.DeleteFunc(found, func(address string) bool {
		return slices.ContainsFunc(k.probes, func(p Probe) bool { return p.Address == address })
	})
	if len(others) == 0 {
		return errAbsent
	}
	return fmt.Errorf("%w, where of other thermometers there are %s", errAbsent, quantity.List(others))
}

func (p *kernelProbe) value() (physic.Temperature, error) {
	text, err := p.temperature.read()
	if err == errAbsent {
		// Kernels before 5.8 (from memory) have the scratchpad alone.
		if text, err = p.slave.read(); err != nil {
			return 0, err
		}
		return parseSlave(text)
	}
	if err != nil {
		return 0, err
	}
	return parseMilliDegrees(text)
}

// prepare sets the resolution, and makes the kernel check each conversion so far
// as it can: a failed one reads as 85 degC otherwise.
func (k *kernel) prepare(i int) {
	p, probe := &k.of[i], k.probes[i]
	p.prepared = true
	folder := filepath.Join(k.root, probe.Address)
	_ = set(filepath.Join(folder, "features"), "1\n") // older kernels have none
	if probe.Bits == 0 {
		return
	}
	file, want := filepath.Join(folder, "resolution"), strconv.Itoa(probe.Bits)
	if bits(file) != want {
		_ = set(file, want+"\n") // what came of it is read
	}
	switch got := bits(file); got {
	case want:
		p.bits.Good(fmt.Sprintf("%s has a resolution of %s bits", probe.Name, want))
	case "":
		p.bits.Bad(fmt.Sprintf("%s: the kernel does not tell its resolution, %s bits are wanted", probe.Name, want))
	default:
		p.bits.Bad(fmt.Sprintf("%s has a resolution of %s bits and cannot be set to the %s bits that are wanted", probe.Name, got, want))
	}
}

// bits returns what a file "resolution" says, empty where it says nothing.
func bits(path string) string {
	text, err := os.ReadFile(path)
	if err != nil {
		return ""
	}
	return string(bytes.TrimSpace(text))
}

func (k *kernel) close() {
	k.closeBulk()
	for i := range k.of {
		k.of[i].temperature.close()
		k.of[i].slave.close()
	}
}
