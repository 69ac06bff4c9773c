package serial_test

import (
	"context"
	"encoding/binary"
	"errors"
	"math"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"periph.io/x/conn/v3/physic"

	"bathtender/hal"
	"bathtender/hal/board/modbus"
	"bathtender/hal/board/serial"
)

// slave is a meter at the other end of a pseudo terminal, which misbehaves on
// demand. Registers 0 and 12 hold volts and watts as binary32, all others a number
// that is neither.
type slave struct {
	line *pty
	mu   sync.Mutex
	plan []does // for the requests to come
	ever does   // for those behind the plan
}

// does is what the slave does with a request.
type does func(s *slave, asked, answer []byte)

const (
	volts = 230.5
	watts = 1985.25
	other = 77777

	notANumber = 20 // the register that holds none
)

func newSlave(t *testing.T, line *pty) *slave {
	return newSlaveThat(t, line, func(s *slave, _, answer []byte) { s.line.write(answer) })
}

func newSlaveThat(t *testing.T, line *pty, ever does) *slave {
	s := &slave{line: line, ever: ever}
	done := make(chan struct{})
	t.Cleanup(func() { line.unplug(); <-done })
	go func() {
		defer close(done)
		var in []byte
		for buf := make([]byte, 64); ; {
			n := line.read(buf, 20)
			if n == 0 {
				if t.Context().Err() != nil {
					return
				}
				in = in[:0] // a gap ends a frame
				continue
			}
			for in = append(in, buf[:n]...); len(in) >= 8; in = in[8:] {
				s.serve(in[:8])
			}
		}
	}()
	return s
}

func (s *slave) serve(asked []byte) {
	s.mu.Lock()
	do := s.ever
	if len(s.plan) > 0 {
		do, s.plan = s.plan[0], s.plan[1:]
	}
	s.mu.Unlock()
	first, count := int(asked[2])<<8|int(asked[3]), int(asked[4])<<8|int(asked[5])
	answer := []byte{asked[0], asked[1], byte(2 * count)}
	for n := first; n < first+count; n++ {
		var number [4]byte
		binary.BigEndian.PutUint32(number[:], math.Float32bits(map[int]float32{0: volts, 12: watts}[n&^1]))
		if n&^1 == notANumber {
			binary.BigEndian.PutUint32(number[:], math.Float32bits(float32(math.NaN())))
		} else if n&^1 != 0 && n&^1 != 12 {
			binary.BigEndian.PutUint32(number[:], math.Float32bits(other))
		}
		answer = append(answer, number[2*(n&1):2*(n&1)+2]...)
	}
	do(s, append([]byte(nil), asked...), checked(answer))
}

func checked(frame []byte) []byte {
	crc := modbus.CRC16(frame)
	return append(frame, byte(crc), byte(crc>>8))
}

// expect makes the next requests go by the plan and waits until they have.
func (s *slave) expect(t *testing.T, n int, do does) {
	s.mu.Lock()
	for range n {
		s.plan = append(s.plan, do)
	}
	s.mu.Unlock()
	require.Eventually(t, func() bool { s.mu.Lock(); defer s.mu.Unlock(); return len(s.plan) == 0 }, time.Minute, time.Millisecond)
}

// watched is a meter whose every reading is looked at, as by a loop.
type watched struct {
	*modbus.Meter
	begun time.Time
	mu    sync.Mutex
	told  []string
}

func (w *watched) now() time.Duration { return time.Since(w.begun) }

func (w *watched) said(part string) bool {
	w.mu.Lock()
	defer w.mu.Unlock()
	return strings.Contains(strings.Join(w.told, "\n"), part)
}

// lateMost is well over what a late slave here makes of the time-out of 100 ms.
const lateMost = 400 * time.Millisecond

func newMeter(t *testing.T, open func() (modbus.Port, error), lateness time.Duration, registers ...modbus.Register) *watched {
	w := &watched{begun: time.Now()}
	meter, err := modbus.New(modbus.Config{
		Open: open, Address: 1, Registers: registers, Refresh: 20 * time.Millisecond, Clock: w.now,
		Timing: modbus.Timing{Baud: 115200, Timeout: 100 * time.Millisecond, Lateness: lateness},
		Log: func(s string) {
			w.mu.Lock()
			defer w.mu.Unlock()
			w.told = append(w.told, s)
		},
	})
	require.NoError(t, err)
	w.Meter = meter
	return w
}

var voltsAndWatts = []modbus.Register{
	{Quantity: modbus.Volts, Table: modbus.Input, Number: 0, Divide: 1},
	{Quantity: modbus.Watts, Table: modbus.Input, Number: 12, Divide: 1},
}

func opens(line *pty) func() (modbus.Port, error) {
	return func() (modbus.Port, error) {
		return serial.Open(serial.Setting{Path: line.path, Baud: 115200, Parity: "even"})
	}
}

// fresh waits for readings that were taken from now on, and demands that no other
// value ever shows.
func (w *watched) fresh(t *testing.T) {
	since := w.now()
	require.Eventually(t, func() bool {
		now := w.now()
		m := w.Read(now)
		if m.Watts.Valid {
			assert.Equal(t, physic.Power(watts*1e9), m.Watts.Value)
		}
		if m.Volts.Valid {
			assert.Equal(t, physic.ElectricPotential(volts*1e9), m.Volts.Value)
		}
		return m.Watts.Valid && now-m.Watts.Age > since && m.Volts.Valid && now-m.Volts.Age > since
	}, time.Minute, time.Millisecond, "%v", w.told)
}

// Each way to misbehave, some requests long, and what is told of it. Afterwards
// the meter works again by itself, and never shows another value.
func TestAMisbehavingMeter(t *testing.T) {
	const silent, garbled, foreign = "no answer came in time", "wrong checksum, cut off or disturbed", "not asked for"
	for name, c := range map[string]struct {
		do   does
		told string // empty where it must go on without a word
	}{
		"silent":    {func(*slave, []byte, []byte) {}, silent},
		"truncated": {func(s *slave, _, answer []byte) { s.line.write(answer[:len(answer)-1]) }, garbled},
		"wrong checksum": {func(s *slave, _, answer []byte) {
			answer[3] ^= 0x10
			s.line.write(answer)
		}, garbled},
		"a byte before":  {func(s *slave, _, answer []byte) { s.line.write(append([]byte{0}, answer...)) }, ""},
		"garbage before": {func(s *slave, _, answer []byte) { s.line.write(append([]byte("garbage"), answer...)) }, garbled},
		"garbage after":  {func(s *slave, _, answer []byte) { s.line.write(append(answer, "garbage"...)) }, ""},
		"heard itself":   {func(s *slave, asked, answer []byte) { s.line.write(append(asked, answer...)) }, ""},
		"exception": {func(s *slave, asked, _ []byte) {
			s.line.write(checked([]byte{asked[0], asked[1] | 0x80, 6}))
		}, "the meter is busy"},
		"too short": {func(s *slave, asked, answer []byte) {
			s.line.write(checked([]byte{asked[0], asked[1], 2, answer[3], answer[4]}))
		}, foreign},
		"another meter": {func(s *slave, _, answer []byte) {
			answer[0] = 2
			s.line.write(checked(answer[:len(answer)-2]))
		}, foreign},
		"another table": {func(s *slave, _, answer []byte) {
			answer[1] = 3
			s.line.write(checked(answer[:len(answer)-2]))
		}, foreign},
		"late": {func(s *slave, _, answer []byte) {
			time.Sleep(200 * time.Millisecond) // twice the time-out
			s.line.write(answer)
		}, silent},
		"in pieces": {func(s *slave, _, answer []byte) {
			for i := range answer {
				s.line.write(answer[i : i+1])
			}
		}, ""},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			line := newPty(t)
			s := newSlave(t, line)
			w := newMeter(t, opens(line), lateMost, voltsAndWatts...)
			w.Start(t.Context())
			defer w.Close()
			w.fresh(t)
			s.expect(t, 2, c.do)
			w.fresh(t)
			if c.told != "" {
				assert.True(t, w.said("the meter gives no reading: ") && w.said(c.told), "%q", w.told)
			}
			require.NoError(t, w.Close())
		})
	}
}

// The adapter is pulled out and put in again; the port's name may be another.
func TestAnAdapterThatIsUnplugged(t *testing.T) {
	var mu sync.Mutex
	var line *pty
	plug := func() {
		mu.Lock()
		defer mu.Unlock()
		line = newPty(t)
		newSlave(t, line)
	}
	plug()
	w := newMeter(t, func() (modbus.Port, error) {
		mu.Lock()
		defer mu.Unlock()
		if line == nil {
			return nil, errors.New("serial port cannot be opened: no such file or directory")
		}
		return opens(line)()
	}, lateMost, voltsAndWatts...)
	w.Start(t.Context())
	defer w.Close()
	for range 2 {
		w.fresh(t)
		mu.Lock()
		line.unplug()
		line = nil
		mu.Unlock()
		require.Eventually(t, func() bool { return w.said("cannot be opened") }, time.Minute, time.Millisecond)
		plug()
	}
	w.fresh(t)
	assert.True(t, w.said("the meter gives no reading: the serial port is gone"), "%q", w.told)
	assert.True(t, w.said("the meter works"))
}

// A meter that does not give what lies between two registers is asked for each
// alone.
func TestAMeterWithGaps(t *testing.T) {
	line := newPty(t)
	newSlaveThat(t, line, func(s *slave, asked, answer []byte) {
		if asked[5] > 2 {
			answer = checked([]byte{asked[0], asked[1] | 0x80, 2})
		}
		s.line.write(answer)
	})
	w := newMeter(t, opens(line), lateMost, voltsAndWatts...)
	w.Start(t.Context())
	defer w.Close()
	w.fresh(t)
	w.fresh(t)
}

func TestANumberThatIsNone(t *testing.T) {
	line := newPty(t)
	newSlave(t, line)
	w := newMeter(t, opens(line), lateMost, voltsAndWatts[0],
		modbus.Register{Quantity: modbus.Watts, Table: modbus.Input, Number: notANumber, Divide: 1})
	w.Start(t.Context())
	defer w.Close()
	require.Eventually(t, func() bool { return w.Read(w.now()).Volts.Valid && w.said("watts") }, time.Minute, time.Millisecond)
	assert.True(t, w.said("the meter's register 20 for watts does not hold a number of the form that the machine file gives"))
	assert.Equal(t, hal.Reading[physic.Power]{}, w.Read(w.now()).Watts)
	assert.Equal(t, hal.Reading[physic.ElectricCurrent]{}, w.Read(w.now()).Amperes, "it is not asked for")
}

func TestAClosedMeter(t *testing.T) {
	line := newPty(t)
	newSlave(t, line)
	w := newMeter(t, opens(line), lateMost, voltsAndWatts...)
	require.NoError(t, w.Close(), "not started")
	ctx, cancel := context.WithCancel(t.Context())
	w.Start(ctx)
	w.fresh(t)
	cancel()
	require.NoError(t, w.Close())
	port := open(t, serial.Setting{Path: line.path, Baud: 9600, Parity: "even"})
	assert.NoError(t, port.Flush(), "it was given back")
}
