package bench

import (
	"errors"
	"io"
	"strconv"
	"time"

	"bathtender/sim/scenario"
)

// Session is statements done one after another on one bench. The functions may
// be nil, but for Fail.
type Session struct {
	Bench *Bench
	// Out is where show, explain, help and history write.
	Out io.Writer
	// Tell is told what happens, line by line; Fail what was expected in vain.
	Tell func(scenario.Line)
	Fail func(sentence string)
	// Ticked is called after every tick, Restarted after a restart. Their error
	// ends the session.
	Ticked, Restarted func(*Bench) error
	// Stopped is asked at every tick whether to end a wait now.
	Stopped func() bool
	// Expected counts the expectations so far, and Failed those in vain.
	Expected, Failed int

	said    []scenario.Line // since the last statement that let time pass began
	since   time.Duration   // when that was
	done    []string        // all statements so far
	did     string          // the statement as it really was, where it was cut short
	stopNow bool
}

// errQuit ends a session in order.
var errQuit = errors.New("quit")

// Do does one statement. It returns the statement as it came out, which differs
// where it was cut short, and whether the session goes on.
func (s *Session) Do(st *Statement) (did string, on bool, err error) {
	s.did, s.stopNow = "", false
	err = st.act.do(s, st.At)
	if s.did == "" {
		s.did = st.Text
	}
	s.done = append(s.done, s.did)
	if err == errQuit {
		return s.did, false, nil
	}
	return s.did, err == nil, err
}

// begin begins a statement that lets time pass.
func (s *Session) begin() { s.said, s.since = s.said[:0], s.Bench.Now() }

// tick lets one tick pass, which comes so much too late.
func (s *Session) tick(late time.Duration) error {
	s.Bench.Tick(late)
	for _, line := range s.Bench.Said {
		s.said = append(s.said, line)
		if s.Tell != nil {
			s.Tell(line)
		}
	}
	if s.Ticked != nil {
		return s.Ticked(s.Bench)
	}
	return nil
}

// run lets ticks pass, and reports whether all of them did.
func (s *Session) run(ticks int) (done bool, err error) {
	for range ticks {
		if s.stopped() {
			return false, nil
		}
		if err := s.tick(0); err != nil {
			return true, err
		}
	}
	return true, nil
}

// stopped reports whether the statement is to be cut short.
func (s *Session) stopped() bool {
	s.stopNow = s.stopNow || s.Stopped != nil && s.Stopped()
	return s.stopNow
}

// cut notes that the statement was cut short: so much of it came true.
func (s *Session) cut(begun string) {
	passed := (s.Bench.Now() - s.since) / time.Millisecond
	if passed == 0 {
		s.did = "# cut short at once: " + begun
		return
	}
	s.did = begun + " " + strconv.FormatInt(int64(passed), 10) + " ms"
}

// fail notes what was expected in vain.
func (s *Session) fail(at Place, text string) error {
	s.Failed++
	s.Fail(Problem{at, text}.Error())
	return nil
}
