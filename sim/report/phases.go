package report

import "time"

// phasesMax bounds the intervals that one Phases keeps.
const phasesMax = 512

// Phases are named intervals, one after another. It is fed every tick and holds
// at most 512 of them; when they run out, the shortest is given to the one
// before it, and Absorbed says how many and how long.
//
// Make one with NewPhases.
type Phases struct {
	list     []Phase
	latest   time.Duration
	absorbed int64
	longest  time.Duration
}

// A Phase is one named interval of a session.
type Phase struct {
	// Name is what the strip shows; an empty name is a stretch without a phase.
	Name string
	// From and To are session times.
	From, To time.Duration
}

// NewPhases returns an empty list of phases with all the memory it will need.
func NewPhases() *Phases { return &Phases{list: make([]Phase, 0, phasesMax)} }

// Enter says which phase holds from this instant until the next call. Calls
// with the name unchanged are free and carry the end of the session forward. A
// time before the latest one counts as the latest one, and a negative time as 0.
func (p *Phases) Enter(at time.Duration, name string) {
	at = max(at, p.latest)
	p.latest = at
	if n := len(p.list); n > 0 {
		p.list[n-1].To = at
		if p.list[n-1].Name == name {
			return
		}
		if n == phasesMax {
			p.absorb()
		}
	}
	p.list = append(p.list, Phase{Name: name, From: at, To: at})
}

// absorb gives the shortest interval to the one before it.
func (p *Phases) absorb() {
	best := 1
	for i := 2; i < len(p.list); i++ {
		// Of equal ones the one behind a short phase goes, so that what is lost
		// is spread over the session.
		d := p.list[i].long() - p.list[best].long()
		if d < 0 || d == 0 && p.list[i-1].long() < p.list[best-1].long() {
			best = i
		}
	}
	p.longest = max(p.longest, p.list[best].long())
	p.absorbed++
	p.list[best-1].To = p.list[best].To
	p.list = append(p.list[:best], p.list[best+1:]...)
}

func (f Phase) long() time.Duration { return f.To - f.From }

// List is the phases in order. The slice is the caller's own.
func (p *Phases) List() []Phase {
	if p == nil {
		return nil
	}
	return append([]Phase(nil), p.list...)
}

// Absorbed is how many phases are not shown, and the longest of them.
func (p *Phases) Absorbed() (phases int64, longest time.Duration) { return p.absorbed, p.longest }
