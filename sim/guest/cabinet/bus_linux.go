package main

import (
	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/machine"
	"bathtender/hal"
	"bathtender/sim/guest/probes"
)

// bus is the machine's thermometers.
type bus struct {
	bus   *probes.Bus
	place [hal.MaxProbes]int // on the bus, -1 for none
}

// plugIn plugs the machine's 1-Wire thermometers in.
func plugIn(m *machine.Machine) (*bus, error) {
	b := &bus{}
	var addresses []string
	for i, p := range m.Probes {
		b.place[i] = -1
		if p.Fitted && p.Bits > 0 {
			b.place[i] = len(addresses)
			addresses = append(addresses, p.Address)
		}
	}
	if addresses == nil {
		return b, nil
	}
	var err error
	b.bus, err = probes.PlugIn(addresses...)
	return b, err
}

// show has a thermometer measure what the plant's has measured; one without a reading
// is not there.
func (b *bus) show(probe int, r hal.Reading[physic.Temperature], restarts bool) {
	if b.place[probe] < 0 {
		return
	}
	sixteenths := (r.Value - physic.ZeroCelsius) / (physic.Celsius / 16)
	b.bus.Show(b.place[probe], int16(sixteenths), r.Valid, restarts)
}

func (b *bus) short(shorted bool) {
	if b.bus != nil {
		b.bus.Short(shorted)
	}
}

func (b *bus) unplug() {
	if b.bus != nil {
		_ = b.bus.Unplug()
	}
}
