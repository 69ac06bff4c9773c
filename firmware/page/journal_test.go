package page

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/journal"
	"bathtender/firmware/recipe"
	"bathtender/firmware/status/example"
	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/hal/trace"
	"bathtender/interlock"
)

const tick = 100 * time.Millisecond

// writer makes a journal out of made-up ticks.
type writer struct {
	t      *testing.T
	folder journal.Folder
	book   *journal.Book
	now    time.Duration
	broken bool
	count  int
}

var began = time.Date(2026, 1, 5, 8, 0, 0, 0, time.UTC)

func newWriter(t *testing.T) *writer {
	w := &writer{t: t, folder: journal.Folder(t.TempDir())}
	require.NoError(t, journal.Create(w.folder))
	w.book, _ = journal.Open(w.folder, journal.Cabinet{Program: "0.1.0", Machine: "0123456789abcdef", Fans: 2, Banks: 6,
		Tick: tick, Origin: trace.Synthetic, Seed: 7}, began)
	return w
}

func (w *writer) tick(events ...journal.Told) {
	w.now += tick
	row := trace.Row{HasOutputs: true}
	row.Time = w.now
	minutes := w.now.Minutes()
	for i, degrees := range []float64{48 + minutes/2, 48.2 + minutes/2, 22 + minutes/10} {
		row.Probes[i] = hal.Aged(physic.ZeroCelsius+physic.Temperature(degrees*float64(physic.Kelvin)), 300*time.Millisecond)
	}
	row.Meter.Watts, row.Meter.Volts = hal.Fresh(486*physic.Watt), hal.Fresh(230*physic.Volt)
	row.Fans[0], row.Fans[1] = hal.Fresh(2600*hal.RPM), hal.Fresh(2600*hal.RPM)
	row.OutputsOK, row.RecordOK, row.KeptOK = true, true, true
	row.Outputs = hal.Outputs{Contactor: true, Fans: true, Banks: hal.FirstBanks(6)}
	if w.broken {
		row.Fans[1] = hal.Fresh(310 * hal.RPM)
		row.Outputs = hal.Outputs{Fans: true}
		row.Meter.Watts = hal.Fresh(14 * physic.Watt)
	}
	for _, e := range events {
		row.Events = e.Text
	}
	item := journal.Item{Wall: began.Add(w.now), Row: row, Told: events}
	if w.count++; w.count%100 == 1 {
		item.State = &supervisor.State{} // where a window may begin
	}
	if len(events) > 0 {
		item.Kept, item.Estimates = &supervisor.Kept{}, &interlock.Estimates{}
	}
	w.book.Take(&item)
}

func (w *writer) run(d time.Duration) {
	for range int(d / tick) {
		w.tick()
	}
}

// journalWithATrip returns the folder of a journal with a session that a trip has
// ended.
func journalWithATrip(t *testing.T) string {
	w := newWriter(t)
	w.run(2 * time.Second)
	w.tick(journal.Told{Event: supervisor.Event{Sequence: recipe.Event{Kind: recipe.Started, Recipe: 1}}, Text: `session of "heavy" begins`})
	w.run(4 * time.Minute)
	w.broken = true
	w.tick(journal.Told{Event: supervisor.Event{Interlock: interlock.Event{Kind: interlock.Tripped, Function: interlock.AirflowLost, Place: 1, FirstOut: true}},
		Text: example.FanSeized})
	w.run(70 * time.Second)
	require.NoError(t, w.book.Close(began.Add(w.now)))
	return string(w.folder)
}

// journalOf returns the folder of a journal with many records.
func journalOf(t *testing.T, refused int) string {
	w := newWriter(t)
	for i := range refused {
		w.now += 2 * time.Minute // so that each is recorded by itself
		w.tick(journal.Told{Event: supervisor.Event{Interlock: interlock.Event{Kind: interlock.Tripped, Function: interlock.LidOpen}}, Text: fmt.Sprintf("made-up trip %d", i+1)})
	}
	require.NoError(t, w.book.Close(began.Add(w.now)))
	return string(w.folder)
}
