package bench

import (
	"fmt"
	"time"

	"bathtender/hal"
	"bathtender/hal/quantity"
)

// setting is the statement set: points put to a value, to a state or to nothing.
type setting struct {
	points  []point
	nothing bool
	value   int64
	age     time.Duration
	ageing  bool
	state   hal.Contact
	good    bool
}

func (r *reader) set() (action, error) {
	points, err := r.points()
	if err != nil {
		return nil, err
	}
	s := &setting{points: points}
	r.take("to")
	switch p := points[0]; {
	case p.kind == contact:
		word, err := r.one("state", "open", "closed", "absent")
		s.state = map[string]hal.Contact{"open": hal.Open, "closed": hal.Closed}[word] // absent is the zero
		return s, err
	case p.kind == assent:
		word, err := r.one("state", "good", "bad")
		s.good = word == "good"
		return s, err
	case p.aged() && r.take("nothing"):
		s.nothing = true
		return s, nil
	}
	return s, r.reading(s)
}

// reading reads a number with its age.
func (r *reader) reading(s *setting) (err error) {
	p := s.points[0]
	if s.value, err = r.value(p, "old", "ageing"); err != nil {
		return err
	}
	if w := r.peek(); !p.aged() && (w == "old" || w == "ageing") {
		return r.wrong(r.words[r.at], "%s is a load and has no age, allowed is the end of the statement", p)
	}
	if r.take("old") {
		if s.age, err = r.span("the age", 0, ageMost, "ageing"); err != nil {
			return err
		}
	}
	s.ageing = r.take("ageing")
	return nil
}

func (s *setting) do(session *Session, _ Place) error {
	b := session.Bench
	for _, p := range s.points {
		switch {
		case p.kind == contact:
			b.contacts[p.place].state, b.contacts[p.place].follows = s.state, false
		case p.kind == assent:
			b.assents[p.place] = s.good
		case s.nothing:
			b.knob(p).nothing()
		default:
			b.knob(p).set(s.value, s.age, s.ageing)
		}
	}
	return nil
}

// turning is the statement ramp: points brought evenly to a value.
type turning struct {
	points []point
	to     int64
	took   time.Duration
}

func (r *reader) ramp() (action, error) {
	start := r.at
	points, err := r.points()
	if err != nil {
		return nil, err
	}
	if !points[0].analog() {
		return nil, r.wrong(r.words[start], "%s has no value to be ramped, allowed are the readings that are numbers, and the loads", points[0])
	}
	if err := r.need("to"); err != nil {
		return nil, err
	}
	t := &turning{points: points}
	if t.to, err = r.value(points[0], "in"); err != nil {
		return nil, err
	}
	if err := r.need("in"); err != nil {
		return nil, err
	}
	t.took, err = r.span("the ramp", passLeast, passMost)
	return t, err
}

func (t *turning) do(s *Session, at Place) error {
	for _, p := range t.points {
		if !s.Bench.knob(p).valid {
			return s.fail(at, fmt.Sprintf("%s gives no reading that a ramp could begin from, allowed is a ramp after it has been set", p))
		}
		s.Bench.knob(p).turn(t.to, t.took)
	}
	return nil
}

// following is the statement follow: points given back to what a healthy cabinet
// shows.
type following struct {
	points []point
	around int64
}

func (r *reader) follow() (action, error) {
	start := r.at
	points, err := r.points()
	if err != nil {
		return nil, err
	}
	p := points[0]
	if p.kind == probe {
		return nil, r.wrong(r.words[start], "%s has nothing to follow, since there is no tank on the bench; allowed are set and ramp", p)
	}
	f := &following{points: points}
	if p.kind == mains && r.take("at") {
		w := word{column: r.end}
		if r.at < len(r.words) {
			w = r.words[r.at]
		}
		if f.around, err = r.value(p); err != nil {
			return nil, err
		}
		if f.around <= 0 {
			return nil, r.wrong(w, "the mains to follow cannot be %s, allowed is more than 0 V", quantity.Quote(p.dial(r.cabinet.Machine).format(f.around)))
		}
	}
	return f, nil
}

func (f *following) do(s *Session, _ Place) error {
	for _, p := range f.points {
		s.Bench.follow(p, f.around)
	}
	return nil
}
