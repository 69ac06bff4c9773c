package whatif

import (
	"fmt"
	"time"

	"bathtender/interlock"
	"bathtender/sim/report"
)

// Functions says, for each protective function that acted in either of the two,
// when it acted first in each.
func (c *Comparison) Functions() []string {
	var list []string
	for slot := range c.acts {
		a := &c.acts[slot]
		if a.hasWas || a.hasIs {
			list = append(list, nameOf(slot)+": "+a.text())
		}
	}
	return list
}

func (a *act) text() string {
	switch {
	case !a.hasIs:
		return fmt.Sprintf("acted at %s, would not act (%s)", report.Clock(a.was), a.wasText)
	case !a.hasWas:
		return fmt.Sprintf("did not act, would act at %s (%s)", report.Clock(a.is), a.isText)
	case a.was == a.is:
		return "acts at " + report.Clock(a.was) + " in both"
	default:
		return fmt.Sprintf("acted at %s, would act at %s, %s", report.Clock(a.was), report.Clock(a.is), apart(a.is-a.was))
	}
}

func apart(d time.Duration) string {
	if d < 0 {
		return fmt.Sprintf("%.1f s earlier", -d.Seconds())
	}
	return fmt.Sprintf("%.1f s later", d.Seconds())
}

// Sentence sums the comparison up. The changed file is named.
func (c *Comparison) Sentence(changed string) string {
	slot := c.firstOtherwise()
	if slot < 0 {
		if c.Otherwise == 0 {
			return fmt.Sprintf("With %s all %d rows would have been decided as they were.", changed, c.Rows)
		}
		return fmt.Sprintf("With %s the same functions would have acted at the same times, and %s.", changed, c.share())
	}
	a, name := &c.acts[slot], nameOf(slot)
	switch {
	case !a.hasIs:
		return fmt.Sprintf("With %s %q would not have acted at %s, and %s.", changed, name, report.Clock(a.was), c.share())
	case !a.hasWas:
		return fmt.Sprintf("With %s %q would have acted at %s, and %s.", changed, name, report.Clock(a.is), c.share())
	default:
		return fmt.Sprintf("With %s %q would have acted %s, at %s, and %s.", changed, name, apart(a.is-a.was), report.Clock(a.is), c.share())
	}
}

func (c *Comparison) share() string {
	return fmt.Sprintf("%d of %d rows would have been decided otherwise", c.Otherwise, c.Rows)
}

// firstOtherwise returns the slot of the earliest function that acted otherwise,
// -1 for none.
func (c *Comparison) firstOtherwise() int {
	first := -1
	for slot := range c.acts {
		a := &c.acts[slot]
		if a.hasWas == a.hasIs && (!a.hasWas || a.was == a.is) {
			continue
		}
		if first < 0 || a.at() < c.acts[first].at() {
			first = slot
		}
	}
	return first
}

func nameOf(slot int) string {
	f, place := interlock.Find(slot)
	return interlock.Event{Function: f, Place: uint8(place)}.Name()
}

func (a *act) at() time.Duration {
	switch {
	case !a.hasIs:
		return a.was
	case !a.hasWas:
		return a.is
	default:
		return min(a.was, a.is)
	}
}
