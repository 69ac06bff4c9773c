package setup

import (
	"context"
	"errors"
	"fmt"
	"runtime"
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/machine"
	"bathtender/hal"
	"bathtender/hal/board/onewire"
)

// probeNames are what messages call the probes, by their places in a snapshot.
var probeNames = [hal.MaxProbes]string{"bath probe A", "bath probe B", "the cabinet probe"}

// ProbeSource is the temperature probes of a machine, read beside the loop.
type ProbeSource struct {
	thermometers *onewire.Thermometers
	place        []int // in a snapshot, of each thermometer
}

// Probes returns the probes of a machine. The error has a sentence for each that
// cannot be read.
func Probes(m *machine.Machine, s Sampling) (*ProbeSource, error) {
	config := onewire.Config{Clock: s.Clock, Log: s.Log, Oldest: m.Interlock().Probes.MaxAge}
	source := &ProbeSource{}
	var problems []error
	for place, p := range m.Probes {
		switch {
		case !p.Fitted:
		case p.Kind != machine.OneWire:
			problems = append(problems, fmt.Errorf("%s is of the kind %q, which can be simulated but not read yet, allowed on a board is %q", probeNames[place], p.Kind, machine.OneWire))
		default:
			config.Probes = append(config.Probes, onewire.Probe{Name: probeNames[place], Address: p.Address, Bits: p.Bits})
			source.place = append(source.place, place)
		}
	}
	root := s.OneWire
	if root == "" {
		root = onewire.Root
		if runtime.GOOS != "linux" {
			problems = append(problems, errors.New("1-Wire thermometers are read on Linux only"))
		}
	}
	source.thermometers = onewire.Kernel(root, config)
	return source, errors.Join(problems...)
}

// Read returns the last reading of each probe with its age at a time of the
// clock; no reading for one that is not fitted. It never waits.
func (p *ProbeSource) Read(now time.Duration) (readings [hal.MaxProbes]hal.Reading[physic.Temperature]) {
	for i, place := range p.place {
		readings[place] = p.thermometers.Read(i, now)
	}
	return readings
}

// Start begins to measure, until the context ends or Close. It is called once.
func (p *ProbeSource) Start(ctx context.Context) { p.thermometers.Start(ctx) }

// Close ends the measuring. The error says that a read did not end.
func (p *ProbeSource) Close() error { return p.thermometers.Close() }
