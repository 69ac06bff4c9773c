package prove

import (
	"errors"
	"fmt"
	"math"
	"time"

	"bathtender/interlock"
)

// StatesMost is the most states that one view may have.
const StatesMost = 50_000_000

// Result is what the search of one view has found.
type Result struct {
	View        *View
	States      int
	Transitions int
	Inputs      int // at each tick, a restart among them
	Depth       int // ticks and restarts to the farthest state
	Bytes       int // of what was kept at most
	Took        time.Duration
	Broken      [InvariantCount]*Trail
	Known       [KnownCount]*Trail
	// Acted says which functions were seen to act, Emitted and Heated whether
	// anything was.
	Acted           [interlock.FunctionCount]bool
	Emitted, Heated bool
}

// Trail is a shortest way to something, from the start of the program: which
// of the view's inputs came one after another.
type Trail struct {
	View *View
	Path []int
}

// Held reports whether every invariant was held.
func (r *Result) Held() bool {
	for _, trail := range r.Broken {
		if trail != nil {
			return false
		}
	}
	return true
}

// Search searches a view to the end. progress, where there is one, is told now
// and then how many states there are.
func Search(v *View, progress func(states, transitions int)) (*Result, error) {
	return search(v, shipped(), 0, progress)
}

// searching is a search on its way.
type searching struct {
	*walk
	inputs  []Given
	seen    *visited
	from    []int32 // by which state each was reached, and
	via     []uint16
	now     []byte // the states of this depth, one after another, and those after them
	next    []byte
	text    []byte
	words   words
	state   State // the one that is expanded, and what comes after it; kept here so that nothing is allocated
	after   State
	result  *Result
	acted   uint32
	until   broken // stop once all of these have been broken, if there are any
	broken  broken
	stopped bool
}

func search(v *View, subject subject, until broken, progress func(states, transitions int)) (*Result, error) {
	s := searching{walk: newWalk(&v.Rules, subject), inputs: v.Inputs(), seen: newVisited(), until: until}
	if len(s.inputs) > math.MaxUint16 {
		return nil, fmt.Errorf("view %s has %d inputs a tick, allowed are up to %d", v.Name, len(s.inputs), math.MaxUint16)
	}
	s.result = &Result{View: v, Inputs: len(s.inputs)}
	begun := time.Now()
	var start State
	s.keep(&start, -1, 0)
	at := 0 // the number of the first state of this depth
	for !s.stopped && len(s.next) > 0 {
		s.now, s.next = s.next, s.now[:0]
		for text := s.now; len(text) > 0 && !s.stopped; at++ {
			text = s.state.read(text, &s.words)
			if err := s.expand(&s.state, at); err != nil {
				return nil, err
			}
			if progress != nil && at%1024 == 0 {
				progress(s.seen.n, s.result.Transitions)
			}
		}
		if len(s.next) > 0 {
			s.result.Depth++
		}
		s.result.Bytes = max(s.result.Bytes, s.seen.bytes()+6*len(s.from)+cap(s.now)+cap(s.next))
	}
	s.result.States, s.result.Took = s.seen.n, time.Since(begun)
	for f := range s.result.Acted {
		s.result.Acted[f] = s.acted>>f&1 != 0
	}
	return s.result, nil
}

// expand tries every input on one state.
func (s *searching) expand(state *State, number int) error {
	for i := range s.inputs {
		s.after = *state
		b := s.step(&s.after, &s.inputs[i], 0)
		s.result.Transitions++
		if !s.inputs[i].Restart {
			s.acted |= s.walk.acted()
			s.result.Emitted = s.result.Emitted || s.out.Banks != 0
			s.result.Heated = s.result.Heated || s.out.Heater
		}
		if b != 0 {
			s.blame(b, number, i)
		}
		s.keep(&s.after, number, i)
		if s.stopped {
			return nil
		}
	}
	if s.seen.n > StatesMost {
		return errors.New("view " + s.result.View.Name + " has more than the 50000000 states that are allowed")
	}
	return nil
}

// keep takes a state in unless it has been seen.
func (s *searching) keep(state *State, from, via int) {
	s.text = state.append(s.text[:0], &s.words)
	if s.seen.add(markOf(s.text)) {
		s.next = append(s.next, s.text...)
		s.from, s.via = append(s.from, int32(from)), append(s.via, uint16(via))
	}
}

// blame keeps the first way to each thing that was broken.
func (s *searching) blame(b broken, from, via int) {
	for i := range InvariantCount {
		if b.has(i) && s.result.Broken[i] == nil {
			s.result.Broken[i] = s.trail(from, via)
		}
	}
	s.broken |= b
	s.stopped = s.until != 0 && s.broken&s.until == s.until
	for k := range KnownCount {
		if b.knows(k) && s.result.Known[k] == nil {
			s.result.Known[k] = s.trail(from, via)
		}
	}
}

func (s *searching) trail(from, via int) *Trail {
	path := []int{via}
	for ; from > 0; from = int(s.from[from]) {
		path = append(path, int(s.via[from]))
	}
	for i, j := 0, len(path)-1; i < j; i, j = i+1, j-1 {
		path[i], path[j] = path[j], path[i]
	}
	return &Trail{View: s.result.View, Path: path}
}
