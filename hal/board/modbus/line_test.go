package modbus

import (
	"time"
)

// virtual is a serial line with a meter at its end, in a time of its own: nothing
// waits in truth, so thousands of time-outs take no time.
type virtual struct {
	now      time.Duration
	coming   []arrival
	answer   func(frame []byte) []arrival // what the meter does with a request
	asked    int
	flushed  int
	gone     bool
	lastSent time.Duration
}

// arrival is bytes that come in at a time of the virtual clock.
type arrival struct {
	at    time.Duration
	bytes []byte
}

func (v *virtual) clock() time.Duration { return v.now }

// next returns the place of the arrival that comes first, -1 for none.
func (v *virtual) next() int {
	first := -1
	for i, a := range v.coming {
		if first < 0 || a.at < v.coming[first].at {
			first = i
		}
	}
	return first
}

func (v *virtual) Read(p []byte, wait time.Duration) (int, error) {
	if v.gone {
		return 0, ErrGone
	}
	i := v.next()
	if i < 0 || v.coming[i].at > v.now+wait {
		v.now += max(wait, 0)
		return 0, nil
	}
	a := &v.coming[i]
	v.now = max(v.now, a.at)
	n := copy(p, a.bytes)
	if a.bytes = a.bytes[n:]; len(a.bytes) == 0 {
		v.coming = append(v.coming[:i], v.coming[i+1:]...)
	}
	return n, nil
}

func (v *virtual) Write(p []byte, _ time.Duration) error {
	if v.gone {
		return ErrGone
	}
	v.asked++
	v.now += time.Millisecond * time.Duration(len(p))
	v.lastSent = v.now
	v.coming = append(v.coming, v.answer(append([]byte(nil), p...))...)
	return nil
}

func (v *virtual) Flush() error {
	v.flushed++
	kept := v.coming[:0]
	for _, a := range v.coming {
		if a.at > v.now {
			kept = append(kept, a)
		}
	}
	v.coming = kept
	return nil
}

func (v *virtual) Close() error { v.gone = true; return nil }

// meterModel holds registers of two words: the higher is the register's number,
// the lower counts the requests, so that each answer tells what it answers.
type meterModel struct {
	requests uint16
	// end is behind its last register.
	end int
}

func (m *meterModel) answer(f []byte) []byte {
	m.requests++
	if len(f) != requestSize || CRC16(f) != 0 {
		return nil
	}
	first, count := int(f[2])<<8|int(f[3]), int(f[4])<<8|int(f[5])
	if first+count > m.end {
		return sum([]byte{f[0], f[1] | failed, byte(noRegister)})
	}
	reply := []byte{f[0], f[1], byte(2 * count)}
	for n := first; n < first+count; n++ {
		word := uint16(n)
		if n%2 == 1 {
			word = m.requests
		}
		reply = append(reply, byte(word>>8), byte(word))
	}
	return sum(reply)
}

func sum(frame []byte) []byte {
	crc := CRC16(frame)
	return append(frame, byte(crc), byte(crc>>8))
}
