package bench

import (
	"fmt"
	"time"

	"bathtender/hal"
	"bathtender/hal/quantity"
)

// The statements that let time pass. A time that is no whole number of ticks is
// rounded up to one.

func (s *Session) ticks(d time.Duration) int {
	tick := s.Bench.Config.Interlock.Tick
	return int((d + tick - 1) / tick)
}

// pressing is start, stop or reset: a short press, one tick down and one tick up.
// A program that has just started sees the button up for one tick before.
type pressing struct{ request hal.Request }

func (r *reader) press(w word) (action, error) {
	request, err := r.button(w)
	return pressing{request}, err
}

// button reads what follows start, stop or reset.
func (r *reader) button(w word, stops ...string) (hal.Request, error) {
	switch w.text {
	case "stop":
		return hal.Request{Verb: hal.Stop}, nil
	case "reset":
		return hal.Request{Verb: hal.Reset}, nil
	}
	var names []string
	for _, file := range r.cabinet.Recipes {
		names = append(names, file.Recipe.Name)
	}
	name, from := r.until(stops...)
	if name == "" {
		return hal.Request{}, r.wrong(from, "start needs a recipe, allowed %s", are(names))
	}
	for _, known := range names {
		if known == name {
			return hal.Request{Verb: hal.Start, Recipe: name}, nil
		}
	}
	return hal.Request{}, r.unknown(word{text: name, column: from.column}, "recipe", names)
}

func (p pressing) do(s *Session, _ Place) error {
	s.begin()
	if s.Bench.fresh == 0 {
		// A button that is down at a program's first tick was not pressed for it.
		if err := s.tick(0); err != nil {
			return err
		}
	}
	s.Bench.press(p.request)
	if err := s.tick(0); err != nil {
		return err
	}
	s.Bench.press(hal.Request{})
	return s.tick(0)
}

// holding is hold: a button held down, which is let go at the next tick.
type holding struct {
	request hal.Request
	took    time.Duration
}

func (r *reader) hold() (action, error) {
	name, err := r.one("button", "start", "stop", "reset")
	if err != nil {
		return nil, err
	}
	h := &holding{}
	if h.request, err = r.button(word{text: name}, "for"); err != nil {
		return nil, err
	}
	if err = r.need("for"); err != nil {
		return nil, err
	}
	h.took, err = r.span("hold", passLeast, passMost)
	return h, err
}

func (h *holding) do(s *Session, _ Place) error {
	s.begin()
	s.Bench.press(h.request)
	defer s.Bench.press(hal.Request{})
	done, err := s.run(s.ticks(h.took))
	if !done {
		s.cut("hold " + h.request.String() + " for")
	}
	return err
}

// waiting is wait: for a time, or until something is so.
type waiting struct {
	took  time.Duration
	until []clause
	times string // what it waits for, as it was written
}

func (r *reader) wait() (action, error) {
	w := &waiting{}
	var err error
	if !r.take("until") {
		w.took, err = r.span("wait", passLeast, passMost)
		return w, err
	}
	if w.until, err = r.clauses("within"); err != nil {
		return nil, err
	}
	w.took = time.Hour
	if r.take("within") {
		w.took, err = r.span("within", passLeast, passMost)
	}
	return w, err
}

func (w *waiting) do(s *Session, at Place) error {
	s.begin()
	if w.until == nil {
		done, err := s.run(s.ticks(w.took))
		if !done {
			s.cut("wait")
		}
		return err
	}
	s.Expected++
	for range s.ticks(w.took) {
		if s.missing(w.until) == nil {
			return nil
		}
		if s.stopped() {
			s.cut("wait")
			return nil
		}
		if err := s.tick(0); err != nil {
			return err
		}
	}
	missing := s.missing(w.until)
	if missing == nil {
		return nil
	}
	return s.fail(at, fmt.Sprintf("waited %s for %s, but %s", quantity.FormatDuration(w.took), missing.wanted, missing.found))
}

// lateness is late: one tick that comes too late.
type lateness struct{ by time.Duration }

func (r *reader) late() (action, error) {
	by, err := r.span("late", passLeast, time.Hour)
	return lateness{by}, err
}

func (l lateness) do(s *Session, _ Place) error {
	s.begin()
	return s.tick(l.by)
}

// restarting is restart: the program is killed and started anew.
type restarting struct{ after time.Duration }

func (r *reader) restart() (action, error) {
	if !r.take("after") {
		return restarting{}, nil
	}
	after, err := r.span("after", passLeast, passMost)
	return restarting{after}, err
}

func (r restarting) do(s *Session, _ Place) error {
	s.begin()
	s.Bench.Restart(r.after)
	if s.Restarted != nil {
		return s.Restarted(s.Bench)
	}
	return nil
}
