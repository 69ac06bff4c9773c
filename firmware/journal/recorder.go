package journal

import (
	"sync"
	"sync/atomic"
	"time"

	"bathtender/firmware/health"
	"bathtender/firmware/supervisor"
	"bathtender/hal"
)

// Recorder stands between the loop and a Book: the loop's calls never wait, and
// a goroutine of its own puts what they bring into the book.
type Recorder struct {
	watch *Watch
	queue chan Item
	done  chan struct{}
	book  *Book

	// missed is what the queue left no room for since the last item in it.
	missed Lost
	// protects is what was handed in last, sent how many times it changed.
	protects supervisor.Kept
	sent     uint64

	stored atomic.Uint64 // how many of these changes are durable
	ok     atomic.Bool
	keptOK atomic.Bool
	mutex  sync.Mutex
	why    string
	liquid *health.LiquidAge
}

const (
	// queueMost is a minute of ticks and more. The last part is left for ticks at
	// which something happened.
	queueMost    = 1024
	queueForRows = queueMost * 3 / 4
)

// NewRecorder returns a recorder of a supervisor, before its first tick, and
// starts its goroutine, which ends with Close.
func NewRecorder(book *Book, s *supervisor.Supervisor) *Recorder {
	r := &Recorder{
		watch: NewWatch(s), queue: make(chan Item, queueMost), done: make(chan struct{}),
		book: book, protects: s.Kept(),
	}
	r.publish(0)
	go r.run()
	return r
}

// OK reports whether all that happened up to the last tick and must not be lost
// is durable; for Snapshot.RecordOK.
func (r *Recorder) OK() bool {
	return r.ok.Load() && r.missed == (Lost{}) && r.stored.Load() >= r.sent
}

// Waiting returns how many ticks wait for the disk.
func (r *Recorder) Waiting() int { return len(r.queue) }

// KeptOK reports whether what was kept is known; for Snapshot.KeptOK.
func (r *Recorder) KeptOK() bool { return r.keptOK.Load() }

// Why says in a sentence why the journal is not OK.
func (r *Recorder) Why() string {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	return r.why
}

// Tick hands in a tick, right after it. It never waits. Before the next tick
// it tells the supervisor what its owner has noted of the liquid.
func (r *Recorder) Tick(wall time.Time, snapshot *hal.Snapshot, request hal.Request, out hal.Outputs, events []supervisor.Event) {
	item := r.watch.Tick(wall, snapshot, request, out, events)
	if item.Kept != nil && protects(&r.protects, item.Kept) {
		r.protects = *item.Kept
		r.sent++
	}
	r.send(item)
	if liquid := r.take(); liquid != nil {
		r.watch.SetLiquid(*liquid)
	}
}

func (r *Recorder) send(item Item) {
	if r.missed != (Lost{}) {
		item.Missed, r.missed = r.missed, Lost{}
	}
	if len(item.Told) > 0 || len(r.queue) < queueForRows {
		item.Sent = r.sent
		select {
		case r.queue <- item:
			return
		default:
		}
	}
	r.missed = item.Missed
	r.missed.Rows++
	r.missed.Events += len(item.Told)
	r.missed.Why = "the disk was too slow"
	r.watch.miss(item.Kept, item.Liquid)
}

func (r *Recorder) take() *health.LiquidAge {
	if !r.mutex.TryLock() {
		return nil // at the next tick
	}
	defer r.mutex.Unlock()
	liquid := r.liquid
	r.liquid = nil
	return liquid
}

func (r *Recorder) run() {
	defer close(r.done)
	told := false
	for item := range r.queue {
		if item.Missed != (Lost{}) {
			r.book.Miss(item.Missed)
		}
		r.book.Take(&item)
		if item.Liquid {
			told = false
		}
		if liquid, due := r.book.Liquid(); due && !told {
			told = true
			r.mutex.Lock()
			r.liquid = &liquid
			r.mutex.Unlock()
		}
		r.publish(item.Sent)
	}
}

func (r *Recorder) publish(sent uint64) {
	ok := r.book.OK()
	if ok {
		r.stored.Store(sent)
	}
	r.ok.Store(ok)
	r.keptOK.Store(r.book.KeptOK())
	why := r.book.Why()
	r.mutex.Lock()
	r.why = why
	r.mutex.Unlock()
}

// Close puts in what is in the queue, ends the run in order and returns what
// could not be made durable.
func (r *Recorder) Close(wall time.Time) error {
	close(r.queue)
	<-r.done
	if r.missed != (Lost{}) {
		r.book.Miss(r.missed)
	}
	return r.book.Close(wall)
}
