package prove

import (
	"encoding/binary"
	"math/bits"
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/recipe"
	"bathtender/hal"
	"bathtender/interlock"
)

// words is a state as numbers, most of which are 0. A state is kept as which of
// them are not 0, and these: a canonical text, the same for equal states alone.
type words struct {
	list [128]uint64
	n    int
}

func (w *words) put(x uint64) { w.list[w.n] = x; w.n++ }

func (w *words) get() uint64 { w.n++; return w.list[w.n-1] }

func bit(b bool, at uint) uint64 {
	if b {
		return 1 << at
	}
	return 0
}

func has(x uint64, at uint) bool { return x>>at&1 != 0 }

func pair(a, b interlock.Timer) uint64 { return uint64(uint32(a)) | uint64(uint32(b))<<32 }

func unpair(x uint64) (a, b interlock.Timer) {
	return interlock.Timer(uint32(x)), interlock.Timer(uint32(x >> 32))
}

// append appends the state's text.
func (s *State) append(dst []byte, w *words) []byte {
	w.n = 0
	s.write(w)
	for from := 0; from < w.n; from += 64 {
		part := w.list[from:min(from+64, w.n)]
		var mask uint64
		for i, x := range part {
			if x != 0 {
				mask |= 1 << i
			}
		}
		dst = binary.LittleEndian.AppendUint64(dst, mask)
		for ; mask != 0; mask &= mask - 1 {
			dst = binary.LittleEndian.AppendUint64(dst, part[bits.TrailingZeros64(mask)])
		}
	}
	return dst
}

// read sets the state from its text, and returns what follows it.
func (s *State) read(text []byte, w *words) []byte {
	w.n = 0
	s.write(w) // tells how many there are
	n := w.n
	for from := 0; from < n; from += 64 {
		mask := binary.LittleEndian.Uint64(text)
		text = text[8:]
		for i := from; i < min(from+64, n); i++ {
			w.list[i] = 0
			if mask>>(i-from)&1 != 0 {
				w.list[i], text = binary.LittleEndian.Uint64(text), text[8:]
			}
		}
	}
	w.n = 0
	s.set(w)
	return text
}

func (s *State) write(w *words) {
	m := &s.Memory
	writeInterlock(&m.Interlock, w)
	writeSequence(&m.Sequence, w)
	w.put(packOutputs(m.Commanded) | uint64(m.Verb)<<32 | bit(m.Began, 40))
	w.put(uint64(m.Last))
	s.Monitor.write(w)
}

func (s *State) set(w *words) {
	m := &s.Memory
	setInterlock(&m.Interlock, w)
	setSequence(&m.Sequence, w)
	x := w.get()
	m.Commanded, m.Verb, m.Began = unpackOutputs(x), hal.Verb(x>>32&0xff), has(x, 40)
	m.Last = time.Duration(w.get())
	s.Monitor.set(w)
}

func packOutputs(o hal.Outputs) uint64 {
	return uint64(o.Banks) | bit(o.Contactor, 16) | bit(o.Fans, 17) | bit(o.Heater, 18) |
		bit(o.Heartbeat, 19) | bit(o.FeedWatchdog, 20) | bit(o.Sounder, 21) | bit(o.Lamp, 22)
}

func unpackOutputs(x uint64) hal.Outputs {
	return hal.Outputs{
		Banks: hal.Banks(x), Contactor: has(x, 16), Fans: has(x, 17), Heater: has(x, 18),
		Heartbeat: has(x, 19), FeedWatchdog: has(x, 20), Sounder: has(x, 21), Lamp: has(x, 22),
	}
}

func writeInterlock(m *interlock.Memory, w *words) {
	for i := 0; i < len(m.Counter); i += 2 {
		w.put(pair(m.Counter[i], m.Counter[i+1]))
	}
	for i := range m.Latched {
		w.put(m.Latched[i])
		w.put(m.Held[i])
	}
	w.put(uint64(m.First.Slot))
	w.put(uint64(m.First.At))
	w.put(uint64(m.First.Value))
	w.put(uint64(m.First.Limit))
	for i := range m.Plausible {
		w.put(uint64(m.Plausible[i]))
		w.put(pair(m.PlausibleFor[i], 0))
	}
	w.put(uint64(m.Volts))
	w.put(pair(m.VoltsFor, m.LoadFor))
	w.put(uint64(m.Load.Banks) | bit(m.Load.Contactor, 16) | bit(m.Load.Fans, 17) | bit(m.Load.Heater, 18) | bit(m.AirProven, 19))
	w.put(uint64(m.EmissionFor))
	w.put(pair(m.RestFor, 0))
}

func setInterlock(m *interlock.Memory, w *words) {
	for i := 0; i < len(m.Counter); i += 2 {
		m.Counter[i], m.Counter[i+1] = unpair(w.get())
	}
	for i := range m.Latched {
		m.Latched[i], m.Held[i] = w.get(), w.get()
	}
	m.First = interlock.FirstOut{Slot: uint8(w.get()), At: time.Duration(w.get()), Value: int64(w.get()), Limit: int64(w.get())}
	for i := range m.Plausible {
		m.Plausible[i] = physic.Temperature(w.get())
		m.PlausibleFor[i], _ = unpair(w.get())
	}
	m.Volts = physic.ElectricPotential(w.get())
	m.VoltsFor, m.LoadFor = unpair(w.get())
	x := w.get()
	m.Load = interlock.Load{Banks: hal.Banks(x), Contactor: has(x, 16), Fans: has(x, 17), Heater: has(x, 18)}
	m.AirProven = has(x, 19)
	m.EmissionFor = time.Duration(w.get())
	m.RestFor, _ = unpair(w.get())
}

func writeSequence(m *recipe.Memory, w *words) {
	w.put(uint64(m.Phase) | uint64(m.Recipe)<<8 | uint64(m.Side)<<16 | uint64(m.Started)<<24 |
		uint64(m.Roll)<<32 | uint64(m.RollNext)<<40 | bit(m.HeaterOn, 48) | bit(m.TooHot, 49))
	w.put(uint64(m.In))
	w.put(uint64(m.Done))
	w.put(uint64(m.SinceStart))
	w.put(uint64(m.Trial))
	w.put(uint64(m.RollFor))
	w.put(uint64(m.HeldFor))
}

func setSequence(m *recipe.Memory, w *words) {
	x := w.get()
	*m = recipe.Memory{
		Phase: recipe.Phase(x), Recipe: uint8(x >> 8), Side: uint8(x >> 16), Started: uint8(x >> 24),
		Roll: uint8(x >> 32), RollNext: uint8(x >> 40), HeaterOn: has(x, 48), TooHot: has(x, 49),
		In: time.Duration(w.get()), Done: time.Duration(w.get()), SinceStart: time.Duration(w.get()),
		Trial: time.Duration(w.get()), RollFor: time.Duration(w.get()), HeldFor: time.Duration(w.get()),
	}
}
