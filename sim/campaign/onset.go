package campaign

import (
	"math/rand/v2"
	"time"

	"bathtender/sim/fault"
	"bathtender/sim/plant"
)

// growth is how long a drifting fault takes to grow to its size, in so many
// steps.
const (
	growth = 2 * time.Minute
	grades = 24
)

// coming is a fault that comes as its kind does: at once, by and by, or again
// and again.
type coming struct {
	fault  fault.Fault
	begun  time.Duration // on the session's clock
	grade  int
	on     bool
	next   time.Duration
	random *rand.Rand
}

// step makes the fault as it is at a time.
func (c *coming) step(now time.Duration, faults *plant.Faults) {
	switch c.fault.Kind.Onset {
	case fault.Drifting:
		grade := min(1+int((now-c.begun)*grades/growth), grades)
		if grade == c.grade {
			return
		}
		c.grade = grade
		part := c.fault
		part.Size = c.fault.Kind.Grade(c.fault.Size, float64(grade)/grades)
		part.Begin(faults)
	case fault.Intermittent:
		if now < c.next {
			return
		}
		c.on = !c.on
		c.next = now + 300*time.Millisecond + time.Duration(c.random.IntN(6))*100*time.Millisecond
		if c.on {
			c.fault.Begin(faults)
		} else {
			c.fault.End(faults)
		}
	default:
		if !c.on {
			c.on = true
			c.fault.Begin(faults)
		}
	}
}
