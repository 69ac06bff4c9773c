package journal

import (
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/interlock"
)

// gatedDisk is a disk whose every operation waits while its gate is shut.
type gatedDisk struct {
	*powerDisk
	gate sync.RWMutex
}

func (d *gatedDisk) pass() { d.gate.RLock(); d.gate.RUnlock() }

func (d *gatedDisk) List(folder string) ([]Stored, error) { d.pass(); return d.powerDisk.List(folder) }
func (d *gatedDisk) Replace(name string, data []byte) error {
	d.pass()
	return d.powerDisk.Replace(name, data)
}
func (d *gatedDisk) Open(name string) (File, error) {
	d.pass()
	file, err := d.powerDisk.Open(name)
	return &gatedFile{file, d}, err
}

type gatedFile struct {
	File
	disk *gatedDisk
}

func (f *gatedFile) Sync() error { f.disk.pass(); return f.File.Sync() }

// loop is a loop with a supervisor that is locked out by a lever of the test's.
type loop struct {
	*Recorder
	supervisor *supervisor.Supervisor
	snapshot   hal.Snapshot
}

func newLoop(t *testing.T, disk Disk) *loop {
	if _, err := disk.Read(keptName); err != nil {
		require.NoError(t, Create(disk))
	}
	book, kept := Open(disk, aCabinet(), aDay)
	config := supervisor.Config{}
	config.Interlock.Tick, config.Interlock.Deadline = tick, 2*tick
	l := &loop{supervisor: supervisor.New(config, kept)}
	l.Recorder = NewRecorder(book, l.supervisor)
	l.snapshot.KeptOK, l.snapshot.RecordOK = true, true
	l.snapshot.Contacts.StopClosed = hal.Closed
	return l
}

func (l *loop) tick(request hal.Request) {
	l.snapshot.Time += tick
	l.snapshot.RecordOK = l.OK()
	out, events := l.supervisor.Tick(&l.snapshot, request)
	l.Tick(aDay.Add(l.snapshot.Time), &l.snapshot, request, out, events)
}

func (l *loop) ticks(n int) {
	for range n {
		l.tick(hal.Request{})
	}
}

// settled waits until the writer has done what it has to.
func (l *loop) settled(t *testing.T) {
	require.Eventually(t, func() bool { l.ticks(1); return l.OK() }, 10*time.Second, time.Millisecond, "it is: %s", l.Why())
}

// A disk that stands still: the loop goes on. What finds no room is counted,
// told once there is room, and withholds the start until then.
func TestAStandingDiskNeverHoldsTheLoopUp(t *testing.T) {
	disk := &gatedDisk{powerDisk: newPowerDisk()}
	l := newLoop(t, disk)
	l.settled(t)
	disk.gate.Lock()
	l.snapshot.Contacts.StopClosed = hal.Open
	l.tick(hal.Request{}) // a trip, which the writer now hangs at
	l.ticks(3 * queueMost)
	assert.False(t, l.OK())
	disk.gate.Unlock()
	l.settled(t)
	require.NoError(t, l.Close(aDay))
	var lost Lost
	kinds := map[Kind]int{}
	for _, e := range all(t, disk) {
		kinds[e.Kind]++
		if e.Lost != nil {
			lost.Rows += e.Lost.Rows
			lost.Events += e.Lost.Events
			assert.Contains(t, e.Text, "rows could not be recorded: the disk was too slow")
		}
	}
	assert.Equal(t, 2, kinds[TripKind], "the stop and, in this cabinet without a meter, its trip")
	assert.Greater(t, lost.Rows, 2*queueMost)
}

// What protects is stored before anything may start that goes by it, also where
// there was no room for it at first.
func TestALockoutWithholdsTheStartUntilItIsStored(t *testing.T) {
	for _, full := range []bool{false, true} {
		disk := &gatedDisk{powerDisk: newPowerDisk()}
		l := newLoop(t, disk)
		l.settled(t)
		disk.gate.Lock()
		if full {
			l.snapshot.Contacts.StopClosed = hal.Open // something to hang at
			l.tick(hal.Request{})
			l.ticks(2 * queueMost)
			for len(l.queue) < queueMost { // ticks with events take the rest
				l.tick(hal.Request{Verb: hal.Reset})
				l.tick(hal.Request{})
			}
		}
		l.snapshot.KeptOK = false
		l.tick(hal.Request{})
		require.Contains(t, stateOf(l.supervisor.Kept()), "kept state unreadable")
		assert.False(t, l.OK())
		l.snapshot.KeptOK = true
		disk.gate.Unlock()
		l.settled(t)
		_, kept := Open(disk.powerDisk, aCabinet(), aDay)
		assert.False(t, kept.Lockouts.Empty(), "full: %v", full)
	}
}

func stateOf(k supervisor.Kept) string {
	for slot := range interlock.Slots {
		if k.Lockouts.Has(slot) {
			f, _ := interlock.Find(slot)
			return f.Name()
		}
	}
	return ""
}

// A disk that fails: the sentence says why, the records wait, and stand once
// and whole when it works again, although the failed write had left a part.
func TestAFailingDiskIsToldAndMadeUpFor(t *testing.T) {
	disk := &halfDisk{powerDisk: newPowerDisk()}
	h := begin(t, disk)
	h.run(time.Second)
	require.True(t, h.book.OK())
	disk.fail = syscall.ENOSPC
	h.lockOut()
	assert.False(t, h.book.OK())
	assert.Equal(t, "the journal cannot be written: kept.json cannot be stored: no space left on device", h.book.Why())
	h.start()
	h.run(20 * time.Second)
	h.end()
	disk.failReplace = true // only the small file can be written
	disk.fail = nil
	h.run(6 * time.Second)
	assert.Equal(t, "the journal cannot be written: journal-0000000001.jsonl cannot be written: no space left on device", h.book.Why())
	disk.failReplace = false
	h.run(6 * time.Second)
	assert.True(t, h.book.OK(), h.book.Why())
	assert.Empty(t, h.book.Why())
	assert.Equal(t, []string{
		"1 boot: the program starts for the 1st time", "2 lockout: the bath is too hot", "3 start: session begins",
		"4 session: session ends; 0.3 min, 0.0 min of emission, 2 Wh", "5 baselines: what health keeps after this session",
	}, texts(all(t, disk)))
}

// A lockout is tried to be stored at once, although the disk has just failed and
// is otherwise left alone for a while.
func TestALockoutIsStoredOnADiskThatHasJustFailed(t *testing.T) {
	disk := &halfDisk{powerDisk: newPowerDisk()}
	h := begin(t, disk)
	h.run(time.Second)
	disk.failReplace = true
	h.start()
	require.NotEmpty(t, h.book.Why())
	disk.failReplace = false
	h.run(time.Second)
	require.NotEmpty(t, h.book.Why(), "it is left alone")
	h.lockOut()
	assert.Empty(t, h.book.Why())
	_, kept := Open(disk.powerDisk, aCabinet(), aDay)
	assert.False(t, kept.Lockouts.Empty())
}

// halfDisk writes half of what it is given and fails.
type halfDisk struct {
	*powerDisk
	fail        error
	failReplace bool // the other way round: Replace works and writing fails
}

func (d *halfDisk) Replace(name string, data []byte) error {
	if d.fail != nil {
		return d.fail
	}
	return d.powerDisk.Replace(name, data)
}

func (d *halfDisk) Open(name string) (File, error) {
	file, err := d.powerDisk.Open(name)
	return &halfFile{file, d}, err
}

type halfFile struct {
	File
	disk *halfDisk
}

func (f *halfFile) WriteAt(data []byte, at int64) (int, error) {
	if f.disk.fail == nil && !f.disk.failReplace {
		return f.File.WriteAt(data, at)
	}
	n, err := f.File.WriteAt(data[:len(data)/2], at)
	if err == nil {
		err = syscall.ENOSPC
	}
	return n, err
}

// Where a failing disk leaves no room in memory either, the newest is lost, and
// that is told.
func TestTooManyWaiting(t *testing.T) {
	disk := &halfDisk{powerDisk: newPowerDisk()}
	h := begin(t, disk)
	h.tick()
	disk.fail = syscall.EIO
	for range waitingMost + 10 {
		h.reset()
	}
	disk.fail = nil
	h.run(6 * time.Second)
	assert.True(t, h.book.OK(), h.book.Why())
	entries := all(t, disk)
	last := entries[len(entries)-1]
	assert.Equal(t, "10 events and 0 rows could not be recorded: too many records wait to be written", last.Text)
	assert.Len(t, entries, 1+waitingMost+1)
}

// An owner's note reaches the supervisor through the loop, once.
func TestTheLoopTellsTheSupervisorOfTheLiquid(t *testing.T) {
	disk := Folder(t.TempDir())
	l := newLoop(t, disk)
	lock, err := disk.Lock()
	require.NoError(t, err)
	defer lock.Close()
	recorded, err := Submit(disk, &Entry{Kind: FillKind, Text: "filled", Wall: Wall{aDay}, Note: &Note{ID: "a", Litres: 12}})
	require.NoError(t, err)
	require.False(t, recorded, "the running program finds it")
	require.Eventually(t, func() bool {
		l.ticks(1)
		return l.supervisor.Kept().Record.Liquid.Volume == 12*hal.Litre
	}, 10*time.Second, time.Millisecond)
	before := l.supervisor.Kept().Record.Liquid
	l.ticks(100)
	assert.Equal(t, before, l.supervisor.Kept().Record.Liquid)
	require.NoError(t, l.Close(aDay))
	_, due := l.book.Liquid()
	assert.False(t, due)
}

// The loop's part of the journal allocates only where something happened.
func TestAQuietTickAllocatesNothing(t *testing.T) {
	s := supervisor.New(supervisor.Config{}, supervisor.Kept{})
	w := NewWatch(s)
	var snapshot hal.Snapshot
	w.Tick(aDay, &snapshot, hal.Request{}, hal.Outputs{}, nil)
	assert.Zero(t, testing.AllocsPerRun(90, func() { // under ten seconds of ticks
		snapshot.Time += tick
		w.Tick(aDay, &snapshot, hal.Request{}, hal.Outputs{}, nil)
	}))
}
