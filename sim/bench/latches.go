package bench

import (
	"fmt"
	"math"

	"bathtender/interlock"
)

// The clauses about what protective functions have done.

func (r *reader) latched(word string) (clause, error) {
	f, err := r.subject()
	if err != nil {
		return clause{}, err
	}
	from, to := f.slots()
	within := func(set *interlock.Set) bool {
		for slot := from; slot < to; slot++ {
			if set.Has(slot) {
				return true
			}
		}
		return false
	}
	return clause{wanted: word + " " + f.String(), look: func(s *Session) (bool, string) {
		m := s.Bench.Supervisor.Memory()
		switch word {
		case "tripped":
			return within(&m.Interlock.Latched), trips(&m.Interlock)
		case "held":
			return within(&m.Interlock.Held), holds(&m.Interlock)
		default:
			slot := int(m.Interlock.First.Slot) - 1
			return slot >= from && slot < to, firstOut(&m.Interlock)
		}
	}}, nil
}

// none reads that there is no trip, no hold or no first-out.
func (r *reader) none() (clause, error) {
	what, err := r.one("expectation", "trip", "hold", "first-out")
	return clause{wanted: "no " + what, look: func(s *Session) (bool, string) {
		m := s.Bench.Supervisor.Memory()
		switch what {
		case "trip":
			return m.Interlock.Latched.Empty(), trips(&m.Interlock)
		case "hold":
			return m.Interlock.Held.Empty(), holds(&m.Interlock)
		default:
			return m.Interlock.First.Slot == 0, firstOut(&m.Interlock)
		}
	}}, err
}

func trips(m *interlock.Memory) string {
	if m.Latched.Empty() {
		return "nothing has tripped"
	}
	return "tripped is " + named(&m.Latched)
}

func holds(m *interlock.Memory) string {
	if m.Held.Empty() {
		return "nothing is held"
	}
	return "held is " + named(&m.Held)
}

func firstOut(m *interlock.Memory) string {
	if m.First.Slot == 0 {
		return "there is no first-out"
	}
	first := interlock.Set{}.With(int(m.First.Slot) - 1)
	return "the first-out is " + named(&first)
}

// filled reads how far a delay has filled.
func (r *reader) filled(stops []string) (clause, error) {
	start := r.at
	f, err := r.subject()
	if err != nil {
		return clause{}, err
	}
	if f.place < 0 && interlock.Table[f.function].Scope != interlock.Whole {
		return clause{}, r.wrong(r.words[start], "%s has a delay for each of its places, allowed is one of them, as in \"airflow lost\" fan 2", f)
	}
	if err := r.need("at"); err != nil {
		return clause{}, err
	}
	at, err := r.span("the delay", 0, math.MaxInt64, stops...)
	slot, _ := f.slots()
	return clause{wanted: fmt.Sprintf("the delay of %s at %s", f, seconds(at)), look: func(s *Session) (bool, string) {
		m := s.Bench.Supervisor.Memory()
		is := m.Interlock.Counter[slot].Duration()
		return is == at, fmt.Sprintf("it is at %s of %s", seconds(is), seconds(s.Bench.Config.Interlock.Delay[f.function]))
	}}, err
}
