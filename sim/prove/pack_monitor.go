package prove

import (
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
)

func (m *Monitor) write(w *words) {
	for i := 0; i < len(m.Stood); i += 2 {
		w.put(pair(m.Stood[i], m.Stood[i+1]))
	}
	w.put(uint64(m.Told))
	w.put(packOutputs(m.Out) | uint64(m.Verb)<<32)
	w.put(uint64(m.Owed) | uint64(m.First)<<32 | bit(m.Begun, 40) | bit(m.Proven, 41) | bit(m.Pressed, 42) | bit(m.AuxGone, 43) | bit(m.Late, 44))
	w.put(pair(m.NoAir[0], m.NoAir[1]))
	w.put(uint64(m.SinceEnd))
	w.put(packOutputs(m.Load))
	w.put(pair(m.LoadFor, m.VoltsFor))
	w.put(uint64(m.Volts))
	w.put(uint64(m.Emitted))
	w.put(uint64(m.Rested))
}

func (m *Monitor) set(w *words) {
	for i := 0; i < len(m.Stood); i += 2 {
		m.Stood[i], m.Stood[i+1] = unpair(w.get())
	}
	m.Told = slotSet(w.get())
	x := w.get()
	m.Out, m.Verb = unpackOutputs(x), hal.Verb(x>>32&0xff)
	x = w.get()
	m.Owed, m.First = uint32(x), uint8(x>>32)
	m.Begun, m.Proven, m.Pressed, m.AuxGone, m.Late = has(x, 40), has(x, 41), has(x, 42), has(x, 43), has(x, 44)
	m.NoAir[0], m.NoAir[1] = unpair(w.get())
	m.SinceEnd = time.Duration(w.get())
	m.Load = unpackOutputs(w.get())
	m.LoadFor, m.VoltsFor = unpair(w.get())
	m.Volts = physic.ElectricPotential(w.get())
	m.Emitted, m.Rested = time.Duration(w.get()), time.Duration(w.get())
}
