package status

import (
	"bathtender/firmware/health"
	"bathtender/firmware/loop"
	"bathtender/firmware/recipe"
	"bathtender/firmware/supervisor"
	"bathtender/interlock"
)

// permits tells what may be switched on, and what stands in the way.
func (b *Builder) permits(v *View, s *supervisor.Status) {
	p := s.Permits
	v.Permits = []Permit{
		{Name: "start", Given: p.Start}, {Name: "contactor", Given: p.Contactor},
		{Name: "heater", Given: p.Heater}, {Name: "emission", Given: p.Emission},
	}
	for _, e := range b.frame.Still.Explain() {
		row := &interlock.Table[e.Function]
		if e.Latched {
			v.Latched = append(v.Latched, Latch{
				Name: nameOf(e), Lockout: row.Latch == interlock.Lockout,
				Stands: e.Finding.Verdict == interlock.Standing, Text: e.Sentence(),
			})
		}
		if v := e.Finding.Verdict; !e.Latched && !e.Held && v != interlock.Standing && v != interlock.Unknown && v != interlock.Pending {
			continue
		}
		takes := []bool{
			row.Takes != interlock.TakesBank,
			row.Takes.Has(interlock.TakesContactor),
			row.Takes.Has(interlock.TakesContactor) || row.Takes.Has(interlock.TakesHeater),
			row.Takes.Has(interlock.TakesContactor) || row.Takes.Has(interlock.TakesEmission),
		}
		for i := range v.Permits {
			if !v.Permits[i].Given && takes[i] {
				v.Permits[i].Why = append(v.Permits[i].Why, e.Sentence())
			}
		}
	}
	if first := s.FirstOut; first.Slot != 0 {
		v.FirstOut = &FirstOut{Text: first.Sentence(), Ago: (b.frame.Still.Snapshot.Time - first.At).Seconds()}
	}
}

func nameOf(e interlock.Explanation) string {
	return interlock.Event{Function: e.Function, Place: uint8(e.Place)}.Name()
}

// recent tells what happened last.
func (b *Builder) recent(v *View) {
	events, first := b.frame.Recent()
	for i, e := range events {
		v.Recent = append(v.Recent, Happened{
			Seq: first + uint64(i), At: e.At.Seconds(),
			Ago:  (b.frame.Still.Snapshot.Time - e.At).Seconds(),
			Kind: kindOf(&e), Text: b.frame.Still.Sentence(e),
		})
	}
}

func kindOf(e *supervisor.Event) string {
	switch {
	case e.Sequence.Kind != recipe.NoEvent:
		return "session"
	case e.Health.Kind != health.NoEvent:
		return "finding"
	case e.Interlock.Kind == interlock.Tripped:
		return "trip"
	case e.Interlock.Kind == interlock.WasReset || e.Interlock.Kind == interlock.ResetRefused:
		return "reset"
	default:
		return "hold"
	}
}

// lateness tells how the loop keeps its time.
func (b *Builder) lateness() Loop {
	l, m := &b.frame.Lateness, b.from.Machine
	shown := Loop{
		Ticks: l.Ticks, Late: l.Late, Worst: l.Worst.Seconds(),
		Tick: m.Timings.Tick.Seconds(), Deadline: m.Timings.Deadline.Seconds(),
	}
	for i, n := range l.Counts {
		bar := Count{Ticks: n}
		if i < len(loop.Bounds) {
			bar.UpTo = loop.Bounds[i].Seconds()
		}
		shown.Lateness = append(shown.Lateness, bar)
	}
	return shown
}
