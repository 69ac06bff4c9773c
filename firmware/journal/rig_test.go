package journal

import (
	"fmt"
	"hash/crc32"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/recipe"
	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/hal/trace"
	"bathtender/interlock"
)

const tick = 100 * time.Millisecond

// aDay is a wall clock of the demo's owner.
var aDay = time.Date(2026, 1, 5, 8, 0, 0, 0, time.UTC)

func aCabinet() Cabinet {
	return Cabinet{
		Program: "0.1.0", Machine: "0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef",
		Fans: 2, Banks: 3, Tick: tick, Origin: trace.Synthetic, Seed: 7,
		Files: []Copy{{"0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef", []byte("machine")},
			{"fedcba9876543210fedcba9876543210fedcba9876543210fedcba9876543210", []byte("recipe")}},
	}
}

// hand puts made-up ticks into a book.
type hand struct {
	book *Book
	kept supervisor.Kept
	now  time.Duration
	n    int
	ask  hal.Request
}

// begin opens a journal, which is made where there is none.
func begin(t testing.TB, disk Disk) *hand {
	if _, err := disk.Read(keptName); err != nil {
		require.NoError(t, Create(disk))
	}
	h := &hand{}
	h.book, h.kept = Open(disk, aCabinet(), aDay)
	return h
}

// tick puts one tick in, with what happened at it.
func (h *hand) tick(told ...Told) {
	h.now += tick
	h.n++
	item := Item{Wall: aDay.Add(h.now), Told: told, Row: trace.Row{HasOutputs: true, Request: h.ask}}
	item.Row.Time = h.now
	item.Row.Probes[hal.BathA] = hal.Aged(physic.ZeroCelsius+physic.Temperature(h.n)*physic.Celsius/100, tick)
	item.Row.Meter.Watts = hal.Fresh(360 * physic.Watt)
	for i, e := range told {
		if i > 0 {
			item.Row.Events += "; "
		}
		item.Row.Events += e.Text
	}
	if h.n%100 == 1 {
		item.State = &supervisor.State{Today: int32(h.n)}
	}
	if len(told) > 0 {
		kept := h.kept
		item.Kept = &kept
		item.Estimates = &interlock.Estimates{}
	}
	h.book.Take(&item)
}

func (h *hand) run(d time.Duration) {
	for range int(d / tick) {
		h.tick()
	}
}

func tripped(f interlock.Function, place int, text string) Told {
	e := interlock.Event{Kind: interlock.Tripped, Function: f, Place: uint8(place), FirstOut: true}
	return Told{Event: supervisor.Event{Interlock: e}, Text: text}
}

// lockOut has a lockout happen, as the supervisor tells of it.
func (h *hand) lockOut() {
	h.kept.Lockouts = h.kept.Lockouts.With(interlock.SlotOf(interlock.BathHighLimit, 0))
	h.tick(tripped(interlock.BathHighLimit, 0, "the bath is too hot"))
}

func (h *hand) reset() {
	h.kept.Lockouts = interlock.Set{}
	e := interlock.Event{Kind: interlock.WasReset, Function: interlock.BathHighLimit}
	h.tick(Told{Event: supervisor.Event{Interlock: e}, Text: "bath high limit has been reset"})
}

func (h *hand) start() {
	h.ask = hal.Request{Verb: hal.Start, Recipe: "gentle"}
	defer func() { h.ask = hal.Request{} }()
	h.tick(Told{Event: supervisor.Event{Sequence: recipe.Event{Kind: recipe.Started, Recipe: 1}}, Text: "session begins"})
}

func (h *hand) end() {
	h.kept.Record.Sessions++
	h.tick(Told{Event: supervisor.Event{Sequence: recipe.Event{Kind: recipe.Ended, Reason: recipe.Finished}}, Text: "session ends"})
}

// all reads a journal that must be whole.
func all(t testing.TB, disk Disk) []Entry {
	entries, damages, err := All(disk)
	require.NoError(t, err)
	require.Empty(t, damages)
	return entries
}

// texts returns the records in short.
func texts(entries []Entry) []string {
	var list []string
	for _, e := range entries {
		list = append(list, fmt.Sprintf("%d %s: %s", e.Seq, e.Kind, e.Text))
	}
	return list
}

// withSum returns a line whose checksum fits, whatever its body.
func withSum(body string) []byte {
	return fmt.Appendf(nil, "%s%s%08x%s\n", body, sumLead, crc32.Checksum([]byte(body), castagnoli), sumTail)
}
