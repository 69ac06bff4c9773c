package loop

import (
	"sync"

	"bathtender/firmware/supervisor"
	"bathtender/hal"
)

// recentMost is how many of the last events a frame carries.
const recentMost = 48

// Frame is what the loop publishes. Only the loop writes the one that it fills in;
// watchers get copies.
type Frame struct {
	Still    supervisor.Still
	Request  hal.Request
	Outputs  hal.Outputs
	Lateness Lateness
	// recent is a ring of the last events, told how many there have been.
	recent [recentMost]supervisor.Event
	told   uint64
}

// Recent returns the last events, oldest first, and the number, from 1, of the
// first of them.
func (f *Frame) Recent() (events []supervisor.Event, first uint64) {
	n := min(f.told, recentMost)
	for i := f.told - n; i < f.told; i++ {
		events = append(events, f.recent[i%recentMost])
	}
	return events, f.told - n + 1
}

func (f *Frame) happened(events []supervisor.Event) {
	for _, e := range events {
		f.recent[f.told%recentMost] = e
		f.told++
	}
}

// published is the frame that watchers copy. The loop never waits for them: while
// one copies, it keeps what it has for the next tick.
type published struct {
	mutex sync.Mutex
	frame Frame
}

func (p *published) offer(f *Frame) bool {
	if !p.mutex.TryLock() {
		return false
	}
	defer p.mutex.Unlock()
	p.take(f)
	return true
}

// put waits for whoever copies.
func (p *published) put(f *Frame) {
	p.mutex.Lock()
	defer p.mutex.Unlock()
	p.take(f)
}

func (p *published) take(f *Frame) {
	p.frame = *f
	p.frame.Still.Supervisor.Still(&p.frame.Still) // its pointers are its own
}

func (p *published) copyTo(f *Frame) {
	p.mutex.Lock()
	*f = p.frame
	f.Still.Supervisor.Still(&f.Still)
	p.mutex.Unlock()
}
