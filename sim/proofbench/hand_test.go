package proofbench

import (
	"io"
	"strings"
	"sync"
	"time"

	"bathtender/firmware/prooftest"
	"bathtender/interlock"
	"bathtender/sim/plant"
)

// hand is whoever stands at the modelled cabinet: it reads what it is told, does it,
// and answers. It is the walk's output and its input.
type hand struct {
	plan   []prooftest.Step
	heard  strings.Builder
	answer chan string
	rest   string

	mutex sync.Mutex
	doing *prooftest.Step // what it has in hand
	since time.Duration   // when it began, 0 for not yet
	back  bool            // it puts it right
	// lazy is a hand that says that it has done it and has not; end has it go home
	// at the question that has these words in it.
	lazy bool
	end  string
	gone bool
	// first is done before the hand moves for the first time.
	first func()
	// shaky is a hand that does it for 600 ms in each second.
	shaky bool
	// odd is what it answers first to each question.
	odd []string
}

func newHand(plan []prooftest.Step) *hand { return &hand{plan: plan, answer: make(chan string, 1000)} }

// Write hears what is said.
func (h *hand) Write(text []byte) (int, error) {
	h.heard.Write(text)
	said := string(text)
	if h.gone {
		return len(text), nil
	}
	if h.end != "" && strings.Contains(said, h.end) {
		h.gone = true
		close(h.answer)
		return len(text), nil
	}
	h.mutex.Lock()
	defer h.mutex.Unlock()
	switch {
	case strings.Contains(said, "Which recipe"):
		h.say("heavy")
	case strings.Contains(said, "Is it done?"):
		h.back, h.since = true, 0
		h.say("yes")
	case strings.HasSuffix(said, "(yes, no, skip) "):
		h.say("yes")
	}
	if rest, ok := strings.CutPrefix(strings.TrimSpace(said), "Now "); ok && !h.lazy {
		for i := range h.plan {
			if s := &h.plan[i]; s.ByHand() && rest == s.Do+"." {
				h.doing, h.since, h.back = s, 0, false
			}
		}
	}
	return len(text), nil
}

func (h *hand) say(word string) {
	for _, odd := range h.odd {
		h.answer <- odd + "\n"
	}
	h.answer <- word + "\n"
}

// Read gives the answers.
func (h *hand) Read(into []byte) (int, error) {
	if h.rest == "" {
		next, ok := <-h.answer
		if !ok {
			return 0, io.EOF
		}
		h.rest = next
	}
	n := copy(into, h.rest)
	h.rest = h.rest[n:]
	return n, nil
}

// move moves the hand on. It takes 2 s to come to where it is wanted.
func (h *hand) move(now time.Duration, f *plant.Faults) {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	if h.doing == nil {
		return
	}
	if h.since == 0 {
		h.since = now
		if h.doing.State != prooftest.Starting { // that is done before it is said
			h.since += 2 * time.Second
		}
	}
	if now < h.since {
		return
	}
	if h.first != nil {
		h.first()
		h.first = nil
	}
	on, stuck := !h.back, plant.NotStuck
	if h.shaky && (now-h.since)%time.Second >= 600*time.Millisecond {
		on = false
	}
	if on {
		stuck = plant.StuckLow
	}
	i := h.doing.Place
	switch h.doing.Function {
	case interlock.StopPressed:
		f.StopOpen = on
	case interlock.Leak:
		f.LeakSensorOpen = on
	case interlock.LidOpen:
		f.LidOpen = on
	case interlock.LevelLow:
		f.FloatStuck = stuck
	case interlock.ContactorDisagrees:
		f.AuxStuck = stuck
	case interlock.ProbeFault:
		f.ProbeOpen[i] = on
	case interlock.MeterFault:
		f.MeterSilent = on
	case interlock.HeaterSilent:
		f.HeaterOpen = on
	case interlock.AirflowStuck:
		f.TachNoise[i] = on
	case interlock.AirflowLost, interlock.AirflowNotProven:
		f.TachOpen[i] = on
	case interlock.ProbesDisagree:
		// A glass of water that is 8 K warmer: the probe follows at 0.4 K/s.
		if change := 0.4 * (now - h.since).Seconds(); on {
			f.ProbeOffset[1] = min(change, 8)
		} else {
			f.ProbeOffset[1] = max(8-change, 0)
		}
	}
}
