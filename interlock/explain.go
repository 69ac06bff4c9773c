package interlock

import (
	"fmt"
	"time"

	"bathtender/hal"
)

// Explanation is why one permit is given or withheld at one tick.
type Explanation struct {
	Function Function
	Place    int
	Finding  Finding
	// Counter is how far the delay has filled of Delay.
	Counter, Delay time.Duration
	Latched, Held  bool
	FirstOut       bool
}

// Explain tells for each function that applies what it finds at this tick. It
// changes nothing: the memory is that after the tick was judged.
func Explain(cfg *Config, after Memory, in *Input) []Explanation {
	var all []Explanation
	v := view{cfg: cfg, mem: &after, in: in}
	in.load, in.loadVerdict = v.load()
	slot := 0
	for f := range FunctionCount {
		row := &Table[f]
		for place := range row.Scope.most() {
			v.held = after.Held.Has(slot)
			e := Explanation{
				Function: f, Place: place, Finding: row.Judge(v, place),
				Counter: after.Counter[slot].Duration(), Delay: cfg.Delay[f],
				Latched: after.Latched.Has(slot), Held: v.held,
				FirstOut: int(after.First.Slot) == slot+1,
			}
			if row.fitted(cfg, place) || e.Latched {
				all = append(all, e)
			}
			slot++
		}
	}
	return all
}

// fitted reports whether the cabinet has the fan, probe or bank at a place.
func (r *Row) fitted(cfg *Config, place int) bool {
	switch r.Scope {
	case EachFan:
		return cfg.Fans.Required[place]
	case EachProbe:
		return cfg.Probes.Fitted[place]
	case EachBank:
		return place < min(cfg.Power.Banks, hal.MaxBanks)
	default:
		return true
	}
}

// Sentence returns the explanation in plain words.
func (e Explanation) Sentence() string {
	row := &Table[e.Function]
	name := row.Name
	if row.Scope != Whole {
		name += ", " + row.Scope.It(e.Place)
	}
	text := name + ": "
	switch {
	case e.Latched:
		text += "latched (" + row.Latch.String() + "), takes away " + row.Takes.String()
		if e.FirstOut {
			text += ", the first-out"
		}
		text += "; its cause now: "
	case e.Held:
		text += "holds " + row.Takes.String() + "; its cause now: "
	}
	f := e.Finding
	switch f.Verdict {
	case Unknown:
		text += "no reading"
		if by, ok := row.CoveredBy.Function(); ok {
			text += ", which \"" + Table[by].Name + "\" answers for"
		}
	default:
		text += f.Verdict.String()
	}
	if f.Verdict == Idle || f.Verdict == Pending {
		return text
	}
	if int(f.Reason) < len(row.Says) && f.Verdict != Unknown {
		unit := row.Says[f.Reason].Unit
		if unit == Nothing && len(row.Says) > 1 {
			unit = row.Says[len(row.Says)-1].Unit
		}
		if unit != Nothing {
			text += fmt.Sprintf(", at %s", unit.Text(f.Value))
			if f.Limit != 0 {
				text += fmt.Sprintf(" against %s", unit.Text(f.Limit))
			}
		}
	}
	if f.Age > 0 {
		text += fmt.Sprintf(", read %.2f s ago", f.Age.Seconds())
	}
	if e.Delay > 0 {
		text += fmt.Sprintf(", delay at %.1f of %.1f s", e.Counter.Seconds(), e.Delay.Seconds())
	}
	return text
}
