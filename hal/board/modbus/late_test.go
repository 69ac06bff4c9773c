package modbus

import (
	"context"
	"encoding/binary"
	"errors"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

var fast = Timing{Baud: 9600, Timeout: 200 * time.Millisecond, Lateness: time.Second}

// asker drives a client against a meter that does as it is told, and looks at
// each value that the client takes.
type asker struct {
	line   *virtual
	model  meterModel
	client client
	blocks []block
	good   int
	wrong  int // another register's, or the answer to another request
	failed map[string]int
}

// behaviour is what becomes of one answer: the bytes that come in, and when,
// counted from the end of the request.
type behaviour func(request, answer []byte) []arrival

func newAsker(end int, next func() behaviour, registers ...Register) *asker {
	a := &asker{model: meterModel{end: end}, blocks: blocks(registers), failed: map[string]int{}}
	a.line = &virtual{}
	a.line.answer = func(frame []byte) []arrival {
		var list []arrival
		for _, one := range next()(frame, a.model.answer(frame)) {
			list = append(list, arrival{a.line.now + one.at, append([]byte(nil), one.bytes...)})
		}
		return list
	}
	a.client = client{port: a.line, address: 1, timing: fast, clock: a.line.clock}
	return a
}

// rounds reads all blocks some times.
func (a *asker) rounds(t require.TestingT, n int) {
	for range n {
		for i := range a.blocks {
			b := &a.blocks[i]
			words, at, err := a.client.read(context.Background(), b)
			if err != nil {
				a.failed[err.Error()]++
				require.NotErrorIs(t, err, ErrGone)
				continue
			}
			require.LessOrEqual(t, at, a.line.lastSent)
			a.good++
			for _, r := range b.registers {
				word := words[2*(r.Number-int(b.first)):]
				number, request := binary.BigEndian.Uint16(word), binary.BigEndian.Uint16(word[2:])
				if int(number) != r.Number || request != a.model.requests {
					a.wrong++
				}
			}
		}
		a.line.now += 300 * time.Millisecond // the rest of the refresh
	}
}

func at(number int) Register { return Register{Watts, Input, number, Uint32, ABCD, 1} }

// prompt answers after 20 ms, whole.
func prompt(_, answer []byte) []arrival { return []arrival{{20 * time.Millisecond, answer}} }

func late(by time.Duration) behaviour {
	return func(_, answer []byte) []arrival { return []arrival{{by, answer}} }
}

// misbehaviours are drawn with an answer's lateness, up to the stated one.
func misbehaviours(by time.Duration, noise []byte) []behaviour {
	ms := time.Millisecond
	return []behaviour{
		prompt,
		late(by),
		func(_, _ []byte) []arrival { return nil }, // silent
		func(_, answer []byte) []arrival { return []arrival{{by, answer[:len(answer)-1]}} },
		func(_, answer []byte) []arrival { // cut off, the rest follows as late as it can
			return []arrival{{20 * ms, answer[:3]}, {by, answer[3:]}}
		},
		func(_, answer []byte) []arrival {
			answer[len(answer)/2] ^= 1
			return []arrival{{by, answer}}
		},
		func(_, answer []byte) []arrival { return []arrival{{20 * ms, noise}, {by, answer}} },
		func(_, answer []byte) []arrival { return []arrival{{by, answer}, {by, noise}} },
		func(asked, answer []byte) []arrival { return []arrival{{0, asked}, {by, answer}} }, // heard itself
		func(asked, answer []byte) []arrival { return []arrival{{by, append(asked, answer...)}} },
		func(_, answer []byte) []arrival { return []arrival{{by, answer}, {by, answer}} }, // twice
		func(asked, _ []byte) []arrival { // an exception
			return []arrival{{by, sum([]byte{asked[0], asked[1] | failed, 6})}}
		},
		func(asked, answer []byte) []arrival { // another meter
			answer[0]++
			return []arrival{{by, sum(answer[:len(answer)-2])}}
		},
	}
}

// An answer that is late by no more than is stated is never taken for another,
// whatever else happens on the line: the property for which this client exists.
func TestALateAnswerIsNeverAnother(t *testing.T) {
	layouts := [][]Register{
		{at(0)},          // one block
		{at(0), at(12)},  // one block with a gap
		{at(0), at(100)}, // two of the same length
		{at(0), at(100), at(200), at(202)},
	}
	rapid.Check(t, func(t *rapid.T) {
		ends := rapid.SampledFrom([]int{2000, 204}).Draw(t, "end") // with 204 the last block cannot be longer
		a := newAsker(ends, func() behaviour {
			// In whole milliseconds, up to the lateness that the client is told.
			by := time.Duration(rapid.IntRange(0, int(fast.Lateness/time.Millisecond)).Draw(t, "late by ms")) * time.Millisecond
			noise := rapid.SliceOfN(rapid.Byte(), 1, 20).Draw(t, "noise")
			return rapid.SampledFrom(misbehaviours(by, noise)).Draw(t, "behaviour")
		}, rapid.SampledFrom(layouts).Draw(t, "registers")...)
		a.rounds(t, 30)
		require.Zero(t, a.wrong, "%d good, failed: %v", a.good, a.failed)
	})
}

// The same over many thousands of requests, most of them good, with a count of
// what came of them.
func TestLateAnswersByTheThousand(t *testing.T) {
	for _, registers := range [][]Register{{at(0), at(12)}, {at(0), at(100)}} {
		chance := rand.New(rand.NewPCG(1, 2))
		a := newAsker(2000, func() behaviour {
			if chance.IntN(4) > 0 {
				return prompt
			}
			by := time.Duration(chance.Int64N(int64(fast.Lateness) + 1))
			noise := make([]byte, 1+chance.IntN(20))
			for i := range noise {
				noise[i] = byte(chance.Uint32())
			}
			list := misbehaviours(by, noise)
			return list[chance.IntN(len(list))]
		}, registers...)
		a.rounds(t, 20_000)
		assert.Zero(t, a.wrong)
		assert.Greater(t, a.good, 10_000, "%v", a.failed)
		assert.Greater(t, a.failed[errSilent.Error()], 100)
		assert.Greater(t, a.failed[errGarbled.Error()], 100)
		assert.Greater(t, a.failed[errForeign.Error()], 100)
		assert.Greater(t, a.failed[Refusal(6).Error()], 100)
	}
}

// A meter that is later than it is ever said to be, each time by the same, and
// answers in its order: for any lateness up to four times the stated one nothing
// wrong is taken, since two requests differ in length and silences grow to that.
func TestAMeterLaterThanStated(t *testing.T) {
	for _, registers := range [][]Register{{at(0)}, {at(0), at(12)}, {at(0), at(100)}} {
		for by := 250 * time.Millisecond; by <= silenceMost*fast.Lateness; by += 10 * time.Millisecond {
			a := newAsker(2000, func() behaviour { return late(by) }, registers...)
			a.rounds(t, 60)
			assert.Zero(t, a.wrong, "late by %v", by)
			assert.Zero(t, a.good, "late by %v", by)
		}
	}
}

// One answer that is later than stated, and comes while another request waits: its
// length tells that it is not the answer to that. What is left is the one that
// comes just while a request of its own length waits.
func TestOneAnswerLaterThanStated(t *testing.T) {
	told, left := 0, 0
	for by := fast.Lateness; by <= 2*fast.Lateness; by += time.Millisecond {
		type sent struct {
			at    time.Duration
			count byte
		}
		var requests []sent
		a := newAsker(2000, nil, at(0))
		a.line.answer = func(f []byte) []arrival {
			requests = append(requests, sent{a.line.now, f[5]})
			after := 20 * time.Millisecond
			if len(requests) == 4 {
				after = by
			}
			return []arrival{{a.line.now + after, a.model.answer(f)}}
		}
		a.rounds(t, 20)
		late := requests[3]
		waiting := late
		for _, r := range requests[4:] {
			// From before it was sent, in 8 ms, until its own answer.
			if r.at-8*time.Millisecond <= late.at+by && late.at+by <= r.at+20*time.Millisecond {
				waiting = r
			}
		}
		switch {
		case waiting == late: // it came into a silence
			assert.Zero(t, a.wrong, "late by %v", by)
		case waiting.count != late.count:
			told++
			assert.Zero(t, a.wrong, "late by %v", by)
		default:
			left++
		}
		assert.GreaterOrEqual(t, a.good, 17, "late by %v", by)
	}
	assert.Greater(t, told, 10)
	assert.Less(t, left, 100)
}

// After a time-out the client says nothing for as long as the meter may be late.
func TestTheSilenceAfterATimeOut(t *testing.T) {
	a := newAsker(2000, func() behaviour { return func(_, _ []byte) []arrival { return nil } }, at(0))
	var sent []time.Duration
	for range 6 {
		a.rounds(t, 1)
		sent = append(sent, a.line.lastSent)
	}
	for i := 1; i < len(sent); i++ {
		assert.GreaterOrEqual(t, sent[i]-sent[i-1], fast.Timeout+fast.Lateness*time.Duration(min(i, silenceMost)))
	}
	assert.Equal(t, map[string]int{errSilent.Error(): 6}, a.failed)
	assert.Equal(t, 6, a.line.flushed, "before each request")
}

// Each trouble begins with the shortest silence again.
func TestSilencesBecomeShortAgain(t *testing.T) {
	n, silences := 0, []time.Duration(nil)
	a := newAsker(2000, func() behaviour {
		if n++; n%5 == 0 {
			return func(_, _ []byte) []arrival { return nil }
		}
		return prompt
	}, at(0))
	for last := time.Duration(0); n < 30; last = a.line.lastSent {
		if a.rounds(t, 1); n%5 == 2 { // the request after a failure, and the one after that
			silences = append(silences, a.line.lastSent-last)
		}
	}
	require.NotEmpty(t, silences)
	for _, s := range silences {
		assert.Less(t, s, 2*fast.Lateness)
	}
}

// A whole frame that nobody asked for shows that the line is out of step, even if
// it comes between two requests.
func TestAnAnswerThatNobodyAskedFor(t *testing.T) {
	a := newAsker(2000, func() behaviour { return prompt }, at(0))
	a.rounds(t, 1)
	sent := a.line.lastSent
	a.line.coming = append(a.line.coming, arrival{a.line.now, a.model.answer(wire(t, "01 04 00 00 00 02 71 CB"))})
	a.rounds(t, 1)
	assert.Equal(t, map[string]int{errForeign.Error(): 1}, a.failed)
	a.rounds(t, 1)
	assert.Greater(t, a.line.lastSent-sent, fast.Lateness)
	assert.Equal(t, 2, a.good)
}

// It recovers by itself, and the first answer then is thrown away.
func TestItRecovers(t *testing.T) {
	for name, bad := range map[string]behaviour{
		"silence": func(_, _ []byte) []arrival { return nil },
		"late":    late(900 * time.Millisecond),
		"garbled": misbehaviours(time.Millisecond, nil)[5],
		"foreign": misbehaviours(time.Millisecond, nil)[12],
	} {
		n := 0
		a := newAsker(2000, func() behaviour {
			if n++; n == 3 {
				return bad
			}
			return prompt
		}, at(0))
		a.rounds(t, 10)
		assert.Equal(t, 9, a.good, name)
		assert.Zero(t, a.wrong, name)
		assert.Equal(t, 11, a.line.asked, "%s: one more for the answer that was thrown away", name)
	}
}

// A line that never becomes quiet does not hold the client for ever.
func TestALineThatIsNeverQuiet(t *testing.T) {
	a := newAsker(2000, func() behaviour { return prompt }, at(0))
	for ms := range 20_000 {
		a.line.coming = append(a.line.coming, arrival{time.Duration(ms) * time.Millisecond, []byte{0x55}})
	}
	_, _, err := a.client.read(context.Background(), &a.blocks[0])
	assert.ErrorIs(t, err, errForeign)
	assert.ErrorIs(t, err, errNotQuiet)
	assert.Zero(t, a.line.asked)
}

// A few bytes between two answers, as from a relay that switches, are noise and
// cost nothing, nor does what comes right behind an answer.
func TestNoiseBetweenAnswers(t *testing.T) {
	a := newAsker(2000, func() behaviour {
		return func(_, answer []byte) []arrival {
			return []arrival{{20 * time.Millisecond, answer}, {22 * time.Millisecond, []byte("garbage")}, {200 * time.Millisecond, []byte{0x00, 0xff}}}
		}
	}, at(0))
	a.rounds(t, 20)
	assert.Equal(t, 20, a.good)
	assert.Empty(t, a.failed)
}

// Two requests after one another never ask for as many registers, unless the
// meter refuses.
func TestLengthsDiffer(t *testing.T) {
	for end, want := range map[int][]int{2000: {14, 16, 14, 16, 14}, 14: {14, 16, 14, 14, 14}} {
		var counts []int
		a := newAsker(end, nil, at(0), at(12))
		a.line.answer = func(f []byte) []arrival {
			counts = append(counts, int(f[5]))
			return []arrival{{a.line.now + time.Millisecond, a.model.answer(f)}}
		}
		a.rounds(t, 6)
		assert.Equal(t, 6, a.good)
		assert.Equal(t, want, counts[:5])
	}
}

func TestAClosedContextEndsTheSilence(t *testing.T) {
	a := newAsker(2000, func() behaviour { return late(time.Hour) }, at(0))
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, _, err := a.client.read(ctx, &a.blocks[0])
	assert.True(t, errors.Is(err, context.Canceled))
}

func BenchmarkRead(b *testing.B) {
	a := newAsker(2000, func() behaviour { return prompt }, at(0), at(12))
	reply := a.model.answer(wire(b, "01 04 00 00 00 0E 71 CE"))
	longer := a.model.answer(wire(b, "01 04 00 00 00 10 F1 C6"))
	a.client.port = &instant{replies: [][]byte{reply, longer}}
	ctx := context.Background()
	b.ReportAllocs()
	for b.Loop() {
		if _, _, err := a.client.read(ctx, &a.blocks[0]); err != nil {
			b.Fatal(err)
		}
	}
}

// instant answers at once and holds nothing.
type instant struct {
	replies [][]byte
	n       int
	asked   bool
}

func (i *instant) Read(p []byte, _ time.Duration) (int, error) {
	if !i.asked {
		return 0, nil
	}
	i.asked = false
	i.n++
	return copy(p, i.replies[(i.n-1)%len(i.replies)]), nil
}
func (i *instant) Write([]byte, time.Duration) error { i.asked = true; return nil }
func (i *instant) Flush() error                      { return nil }
func (i *instant) Close() error                      { return nil }

func TestAReadAllocatesNothing(t *testing.T) {
	a := newAsker(2000, nil, at(0), at(12))
	a.client.port = &instant{replies: [][]byte{
		a.model.answer(wire(t, "01 04 00 00 00 0E 71 CE")), a.model.answer(wire(t, "01 04 00 00 00 10 F1 C6")),
	}}
	assert.Zero(t, testing.AllocsPerRun(100, func() {
		_, _, err := a.client.read(t.Context(), &a.blocks[0])
		assert.NoError(t, err)
	}))
}
