package care

import (
	"fmt"
	"sync"
	"time"

	"bathtender/firmware/journal"
	"bathtender/firmware/machine"
)

// lookEvery is how often a journal is read for what is due: whole days pass slowly, and a
// note of its owner's should show before he has gone home.
const lookEvery = 10 * time.Minute

// Reminder tells a running program what is due. It reads the journal now and then, beside
// whoever asks, and never makes anybody wait.
type Reminder struct {
	disk    journal.Disk
	machine *machine.Machine

	mutex   sync.Mutex
	reading bool
	read    time.Time // by the clock of whoever asks
	list    []string
}

// NewReminder returns a reminder of a machine by its journal.
func NewReminder(disk journal.Disk, m *machine.Machine) *Reminder {
	return &Reminder{disk: disk, machine: m}
}

// Due returns what is due by the wall clock, as known from the last reading; nothing until
// the first is over. It may be called by many.
func (r *Reminder) Due(wall time.Time) []string {
	r.mutex.Lock()
	defer r.mutex.Unlock()
	// A clock that was set back counts as passed, too.
	if passed := wall.Sub(r.read); !r.reading && (r.read.IsZero() || passed >= lookEvery || passed < 0) {
		r.reading, r.read = true, wall
		go r.look(wall)
	}
	return r.list
}

func (r *Reminder) look(wall time.Time) {
	var list []string
	history, damages, err := ReadHistory(r.disk)
	switch {
	case err == nil && len(damages) > 0:
		list = []string{fmt.Sprintf("the journal is damaged, so more may be due than is known: %s", damages[0])}
	case err != nil:
		list = []string{fmt.Sprintf("what is due is not known: %s", err)}
	}
	if history.RecordErr != nil {
		list = append(list, fmt.Sprintf("what health has kept cannot be used, so parts and liquid are not known: %s", history.RecordErr))
	}
	if err == nil {
		list = append(list, Due(journal.Day(wall), FactsOf(r.machine, &history.Record, history.Tests), LimitsOf(r.machine))...)
	}
	r.mutex.Lock()
	defer r.mutex.Unlock()
	r.list, r.reading = list, false
}
