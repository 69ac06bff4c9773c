package live

import (
	"sync"
	"time"

	"bathtender/hal"
	"bathtender/sim/fault"
	"bathtender/sim/plant"
)

// Button is one of the cabinet's.
type Button uint8

// The buttons.
const (
	StartButton Button = iota
	StopButton
	ResetButton
	buttons
)

// Board is a modelled cabinet: a hal.Board with buttons. Buttons and faults may
// come from any goroutine, and act at the next tick.
type Board struct {
	tick time.Duration

	mutex   sync.Mutex
	plant   *plant.Plant
	faults  []fault.Fault
	pressed [buttons]time.Duration // until a time of the plant
	now     time.Duration
}

// NewBoard returns a board of a plant that ticks so often.
func NewBoard(p *plant.Plant, tick time.Duration) *Board { return &Board{plant: p, tick: tick} }

// Read implements hal.Board: it lets one tick pass in the cabinet.
func (b *Board) Read(s *hal.Snapshot) error {
	b.mutex.Lock()
	defer b.mutex.Unlock()
	f := &b.plant.Faults
	stopOpen := f.StopOpen
	f.StopOpen = stopOpen || b.now < b.pressed[StopButton]
	b.plant.Step(b.tick)
	err := b.plant.Read(s)
	f.StopOpen = stopOpen
	b.now = s.Time
	return err
}

// Write implements hal.Board.
func (b *Board) Write(out hal.Outputs) error {
	b.mutex.Lock()
	defer b.mutex.Unlock()
	return b.plant.Write(out)
}

// Buttons reports which buttons are pressed.
func (b *Board) Buttons() (start, reset bool) {
	b.mutex.Lock()
	defer b.mutex.Unlock()
	return b.now < b.pressed[StartButton], b.now < b.pressed[ResetButton]
}

// Press holds a button for a time. The stop button is in the stop loop.
func (b *Board) Press(button Button, hold time.Duration) {
	b.mutex.Lock()
	defer b.mutex.Unlock()
	b.pressed[button] = b.now + hold
}

// Break makes a fault.
func (b *Board) Break(f fault.Fault) {
	b.mutex.Lock()
	defer b.mutex.Unlock()
	f.Begin(&b.plant.Faults)
	b.forget(f)
	b.faults = append(b.faults, f)
}

// Mend takes a fault away, and reports whether it was there. What it did by then
// remains.
func (b *Board) Mend(f fault.Fault) bool {
	b.mutex.Lock()
	defer b.mutex.Unlock()
	if !b.forget(f) {
		return false
	}
	f.End(&b.plant.Faults)
	return true
}

// forget takes a fault of the same kind and place from the list.
func (b *Board) forget(f fault.Fault) (found bool) {
	for i, there := range b.faults {
		if there.Kind == f.Kind && there.Place == f.Place {
			b.faults = append(b.faults[:i:i], b.faults[i+1:]...)
			return true
		}
	}
	return false
}

// Faults returns the faults that there are.
func (b *Board) Faults() []fault.Fault {
	b.mutex.Lock()
	defer b.mutex.Unlock()
	return append([]fault.Fault(nil), b.faults...)
}
