package journal

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/hal/trace"
	"bathtender/interlock"
)

// witness is what somebody outside knew of a journal when the power went.
type witness struct {
	confirmed uint64
	taken     []string // the records that were taken, by number from 1
	locked    bool     // a lockout was durable and no reset has been tried since
	clear     bool     // no lockout has been tried since the journal said OK
	windows   map[string]int64
}

// aLife is a run with all that a journal is for: a session with a trip, a
// lockout, its reset, a second session.
func aLife(h *hand, w *witness, see func()) {
	steps := []func(){
		func() { h.run(time.Second) }, h.start, func() { h.run(11 * time.Second) },
		func() { h.tick(tripped(interlock.AirflowLost, 1, "fan 2 at 310 rpm")) }, func() { h.run(3 * time.Second) },
		func() { h.tick(tripped(interlock.LevelLow, 0, "the liquid is low")) }, h.end, func() { h.run(62 * time.Second) },
		func() { w.clear = false; h.lockOut() }, func() { h.run(2 * time.Second) }, func() { w.locked = false; h.reset() }, func() { h.run(time.Second) }, h.start, func() { h.run(time.Second) }, h.end,
	}
	for _, step := range steps {
		step()
		see()
	}
}

// live runs a life on a disk until its power goes, and returns what was known
// by then and whether it went.
func live(t *testing.T, disk *powerDisk) (w witness, cut bool) {
	var h *hand
	defer func() {
		if r := recover(); r != nil {
			if _, ok := r.(powerCut); !ok {
				panic(r)
			}
			cut = true
			if h != nil && h.book != nil {
				w.confirmed = h.book.store.confirmed
			}
		}
	}()
	h = &hand{}
	h.book, h.kept = Open(disk, aCabinet(), aDay)
	require.True(t, h.book.KeptOK())
	w.clear = h.kept.Lockouts.Empty()
	aLife(h, &w, func() {
		w.confirmed = h.book.store.confirmed
		if h.book.OK() {
			w.locked = !h.kept.Lockouts.Empty()
			w.clear = !w.locked
		}
		w.windows = map[string]int64{}
		if h.book.window != nil {
			w.windows[h.book.window.recording.name] = h.book.window.size
		}
	})
	return w, false
}

// reference is the life on a disk that does not fail, record by record.
func reference(t *testing.T) (records map[uint64]string, ops int) {
	disk := newPowerDisk()
	require.NoError(t, Create(disk))
	begun := disk.ops
	live(t, disk)
	records = map[uint64]string{}
	for _, e := range all(t, disk) {
		records[e.Seq] = string(e.Kind) + ": " + e.Text
	}
	return records, disk.ops - begun
}

// The power goes at each operation of a whole life in turn, and what was not
// durable is kept as chance has it, in several ways.
func TestThePowerGoesAtEveryOperation(t *testing.T) {
	records, ops := reference(t)
	require.Greater(t, ops, 100)
	ways := 8
	if testing.Short() {
		ways = 2
	}
	for at := 1; at <= ops; at++ {
		for way := range ways {
			disk := newPowerDisk()
			require.NoError(t, Create(disk))
			disk.cutAt = disk.ops + at
			w, cut := live(t, disk)
			require.True(t, cut, "%d", at)
			random := rand.New(rand.NewPCG(uint64(at), uint64(way)))
			found := disk.afterCut(random)
			if !checkAfter(t, fmt.Sprintf("operation %d, way %d", at, way), found, &w, records) {
				return
			}
		}
	}
}

// checkAfter checks a journal that is found after a power loss.
func checkAfter(t *testing.T, when string, disk *powerDisk, w *witness, records map[uint64]string) bool {
	entries, damages, err := All(disk)
	require.NoError(t, err)
	ok := true
	is := func(condition bool, format string, args ...any) {
		if !condition {
			ok = false
			assert.Fail(t, when+": "+fmt.Sprintf(format, args...))
		}
	}
	is(uint64(len(entries)) >= w.confirmed, "%d records are confirmed, %d are read back: %v", w.confirmed, len(entries), damages)
	for i, e := range entries {
		is(e.Seq == uint64(i)+1 && records[e.Seq] == string(e.Kind)+": "+e.Text, "record %d was never written: %s", e.Seq, e.Text)
	}
	for _, d := range damages {
		// Nothing that was confirmed is gone, so all there can be is a torn end.
		is(strings.Contains(d.Text, "no record") || d.File == lastName, "%s", d)
	}
	for name, size := range w.windows {
		data, err := disk.Read(name)
		is(err == nil && int64(len(data)) >= size, "%s has %d bytes, %d were durable", name, len(data), size)
	}

	last, lastError := readLast(disk)
	is(last >= w.confirmed || lastError != nil && last+1 >= w.confirmed, "%s has %d, %d were confirmed: %v", lastName, last, w.confirmed, lastError)

	// The program starts again.
	h := &hand{}
	h.book, h.kept = Open(disk, aCabinet(), aDay)
	is(h.book.KeptOK(), "what was kept is always readable after a power loss")
	locked := !h.kept.Lockouts.Empty()
	is(!w.locked || locked, "a lockout that was stored is gone")
	is(!w.clear || !locked, "a lockout that never was")
	is(h.book.Why() == "", "%s", h.book.Why())
	before := uint64(len(entries))
	h.tick(tripped(interlock.Leak, 0, "a leak"))
	h.run(62 * time.Second)
	is(h.book.OK(), "%s", h.book.Why())
	entries, _, err = All(disk)
	require.NoError(t, err)
	is(uint64(len(entries)) >= before+2 && entries[before].Kind == BootKind, "the next records are not read back")
	next := entries[len(entries)-1]
	is(next.Text == "a leak", "the next record is %v", next)
	// All windows are whole traces, the torn ones as far as they go.
	files, err := disk.List(WindowFolder)
	require.NoError(t, err)
	windows := 0
	for _, f := range files {
		if strings.HasSuffix(f.Name, ".csv") {
			windows++
			is(readable(disk, WindowFolder+"/"+f.Name), "%s is no whole trace", f.Name)
		}
	}
	is(windows > 0, "the trip has no window")
	return ok
}

// readable reports whether a trace of a disk is whole; an empty one has not been
// begun.
func readable(disk *powerDisk, name string) bool {
	data := disk.live[name]
	if len(data) == 0 {
		return true
	}
	reader, err := trace.NewReader(strings.NewReader(string(data)), name)
	if err != nil {
		return false
	}
	var row trace.Row
	for err == nil {
		err = reader.Next(&row)
	}
	meta := disk.live[trace.SidecarPath(name)]
	_, _, unread := trace.ParseMetadata(meta, trace.SidecarPath(name))
	return err.Error() == "EOF" && unread == nil
}
