package interlock

// List is what happened in one tick, in order, with room for one event of every
// slot: more than one tick can make happen. Should it ever be full it says so in
// Lost instead of growing. The zero List is empty.
type List[E any] struct {
	list [Slots]E
	n    int
	Lost int
}

// All returns what happened so far. It is overwritten after Empty.
func (l *List[E]) All() []E { return l.list[:l.n] }

// Empty forgets everything.
func (l *List[E]) Empty() { l.n, l.Lost = 0, 0 }

// Add puts one more event at the end.
func (l *List[E]) Add(event E) {
	if l.n >= len(l.list) {
		l.Lost++
		return
	}
	l.list[l.n] = event
	l.n++
}
