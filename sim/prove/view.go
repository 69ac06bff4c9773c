package prove

import (
	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/interlock"
)

// View is one small world that is searched whole.
type View struct {
	Name  string
	About string
	Rules supervisor.Rules
	// Varies is what can be otherwise from tick to tick, each with its options,
	// the first of which is that of a healthy cabinet.
	Varies []Dimension
	// Reaches names the functions that must be seen to act in it: a view in
	// which nothing happens shows nothing.
	Reaches []interlock.Function
}

// Dimension is one thing that varies, and everything that it can be.
type Dimension struct {
	Name    string
	Options []Option
}

// Option is one of the values of a Dimension.
type Option struct {
	Name string
	Set  func(*Given)
}

// as is the option of a healthy cabinet.
func as(name string) Option { return Option{Name: name} }

// Inputs returns everything that the world can give at one tick: each
// combination of the options, and last a restart.
func (v *View) Inputs() []Given {
	list := []Given{healthy(&v.Rules)}
	for _, d := range v.Varies {
		var more []Given
		for i := range list {
			for n, o := range d.Options {
				g := list[i]
				if o.Set != nil {
					o.Set(&g)
				}
				if n > 0 {
					g.Words = also(g.Words, d.Name+" "+o.Name)
				}
				more = append(more, g)
			}
		}
		list = more
	}
	return append(list, Given{Restart: true, Words: "the program is started again"})
}

func also(words, more string) string {
	if words == "" {
		return more
	}
	return words + ", " + more
}

// asks is what can be asked in every view.
func asks() Dimension {
	ask := func(name string, verb hal.Verb, recipe uint8) Option {
		return Option{name, func(g *Given) { g.Ask = supervisor.Ask{Verb: verb, Recipe: recipe} }}
	}
	return Dimension{"request", []Option{
		as("none"), ask("start", hal.Start, 1), ask("stop", hal.Stop, 0), ask("reset", hal.Reset, 0),
	}}
}
