package status

import (
	"time"

	"bathtender/firmware/loop"
	"bathtender/firmware/machine"
	"bathtender/firmware/presence"
	"bathtender/firmware/recipe"
	"bathtender/firmware/version"
	"bathtender/hal"
	"bathtender/hal/trace"
)

// Sources is what a view is made from.
type Sources struct {
	Machine *machine.Machine
	Recipes []*recipe.File
	Origin  trace.Origin
	// Frame copies what the loop has published; Selected is the recipe that waits
	// for the START button; Why says why the journal is not OK, "" where it is.
	Frame      func(*loop.Frame)
	Selected   func() (presence.Selection, bool)
	JournalWhy func() string
	// Wall is the wall clock.
	Wall func() time.Time
	// Care says what is due on a day, in sentences; nil for nothing.
	Care func(wall time.Time) []string
}

// Builder makes views. It is not safe for several goroutines.
type Builder struct {
	from  Sources
	frame loop.Frame
	// started is when the running session began.
	started time.Duration
}

// NewBuilder returns a builder.
func NewBuilder(from Sources) *Builder { return &Builder{from: from} }

// Build returns what there is to see now.
func (b *Builder) Build() View {
	b.from.Frame(&b.frame)
	f := &b.frame
	snapshot := &f.Still.Snapshot
	wall := b.from.Wall()
	v := View{
		Format: 1, Program: version.Version, Machine: b.from.Machine.Name, Origin: string(b.from.Origin),
		Wall: wall, Uptime: snapshot.Time.Seconds(),
		Recipes: []string{}, Latched: []Latch{}, Recent: []Happened{}, Care: []string{},
	}
	for _, r := range b.from.Recipes {
		v.Recipes = append(v.Recipes, r.Recipe.Name)
	}
	s := f.Still.Status()
	v.Session = b.session(&s)
	if chosen, ok := b.from.Selected(); ok {
		v.Selected = &Selected{Recipe: chosen.Recipe, Left: max(chosen.Until-snapshot.Time, 0).Seconds()}
	}
	b.readings(&v, &s)
	b.banks(&v, &s)
	b.liquid(&v, &s, wall)
	b.permits(&v, &s)
	b.recent(&v)
	out := s.Commanded
	v.Outputs = Outputs{Contactor: out.Contactor, Fans: out.Fans, Heater: out.Heater, Sounder: out.Sounder, Lamp: out.Lamp}
	if b.from.Care != nil {
		v.Care = append(v.Care, b.from.Care(wall)...)
	}
	why := b.from.JournalWhy()
	v.Journal = Journal{OK: why == "" && snapshot.RecordOK, Why: why}
	v.Loop = b.lateness()
	return v
}

// fresh returns a reading in a unit, where it may still be used.
func fresh[Q ~int64](r hal.Reading[Q], age time.Duration, zero, unit Q) *float64 {
	value, ok := r.Within(age)
	if !ok {
		return nil
	}
	number := float64(value-zero) / float64(unit)
	return &number
}
