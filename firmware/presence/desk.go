package presence

import (
	"fmt"
	"slices"
	"strings"
	"sync/atomic"
	"time"

	"bathtender/firmware/recipe"
	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/hal/quantity"
)

// Buttons reads the START and RESET buttons of the cabinet. A button that cannot
// be read is not pressed.
type Buttons interface {
	Buttons() (start, reset bool)
}

// Desk takes commands and looks at the buttons. Commands may come from any
// goroutine; Ask and Told are the loop's.
type Desk struct {
	rules    Rules
	buttons  Buttons
	commands chan Command

	selected string
	until    time.Duration // the selection lapses then
	start    bool          // START was pressed at the tick before
	asked    *Command      // at this tick, waiting for Told
	// resetting says that a reset of a command has been pressed and is let go now.
	resetting bool
	shown     atomic.Pointer[Selection]
}

// Selection is a recipe that waits for the START button until a time of the
// board's clock.
type Selection struct {
	Recipe string
	Until  time.Duration
}

// waiting is how many commands may wait for a tick.
const waiting = 8

// New returns a desk. Without buttons there are none.
func New(rules Rules, buttons Buttons) *Desk {
	// A START that is down when the program starts was not pressed for it.
	return &Desk{rules: rules, buttons: buttons, commands: make(chan Command, waiting), start: true}
}

// Send hands a command in. It does not wait: the answer tells of a desk that is
// full.
func (d *Desk) Send(c Command) {
	select {
	case d.commands <- c:
	default:
		c.Answer <- Answer{Text: fmt.Sprintf("%d requests are waiting already; try again in a second", waiting)}
	}
}

// Selected returns the recipe that waits for the START button, if one does.
func (d *Desk) Selected() (Selection, bool) {
	if s := d.shown.Load(); s != nil {
		return *s, true
	}
	return Selection{}, false
}

// Ask returns the request of this tick. A stop comes before a reset, a reset
// before a start.
func (d *Desk) Ask(now time.Duration, status *supervisor.Status) hal.Request {
	d.lapse(now)
	start, reset := false, false
	if d.buttons != nil {
		start, reset = d.buttons.Buttons()
	}
	pressed := start && !d.start
	d.start = start
	request := hal.Request{}
	if d.resetting {
		return request
	}
	switch {
	case reset:
		request.Verb = hal.Reset
	case pressed:
		// One tick of it: were a held START asked for at every tick, whatever comes
		// between two of them would make it a new one.
		request = hal.Request{Verb: hal.Start, Recipe: d.recipeOf(status)}
	}
	select {
	case c := <-d.commands:
		d.carryOut(c, now, status, &request)
	default:
	}
	return request
}

// recipeOf returns the recipe that the START button means: the running one while
// a session runs, else the selected one, else the usual one.
func (d *Desk) recipeOf(status *supervisor.Status) string {
	switch {
	case status.Recipe != "":
		return status.Recipe
	case d.selected == "":
		return d.rules.Usual
	}
	name := d.selected
	d.choose("", 0)
	return name
}

func (d *Desk) choose(name string, until time.Duration) {
	d.selected, d.until = name, until
	if name == "" {
		d.shown.Store(nil)
		return
	}
	d.shown.Store(&Selection{Recipe: name, Until: until})
}

func (d *Desk) lapse(now time.Duration) {
	if d.selected != "" && now >= d.until {
		d.choose("", 0)
	}
}

// carryOut does what a command asks, as far as the rules allow it.
func (d *Desk) carryOut(c Command, now time.Duration, status *supervisor.Status, request *hal.Request) {
	switch c.Verb {
	case Stop:
		d.choose("", 0)
		d.ask(c, request, hal.Request{Verb: hal.Stop})
	case Reset:
		switch {
		case !d.rules.ResetFromAfar:
			refuse(c, "a reset takes the RESET button at the cabinet; the machine file can allow one from afar")
		case request.Verb == hal.Reset:
			refuse(c, "the RESET button is pressed: let it go")
		default:
			d.ask(c, request, hal.Request{Verb: hal.Reset})
		}
	case Start:
		d.askStart(c, now, status, request)
	default:
		refuse(c, "nothing was asked; allowed are start, stop and reset")
	}
}

func (d *Desk) askStart(c Command, now time.Duration, status *supervisor.Status, request *hal.Request) {
	switch {
	case !slices.Contains(d.rules.Recipes, c.Recipe):
		refuse(c, "there is no recipe "+quantity.Quote(c.Recipe)+", allowed are "+strings.Join(d.rules.Recipes, ", "))
	case status.Phase == recipe.TurnOver:
		// Hands are in the bath.
		refuse(c, "the parts are being turned over: only the START button goes on")
	case status.Phase != recipe.Idle:
		refuse(c, fmt.Sprintf("it is in %s: a session can be started when the tank is idle", status.Phase))
	case !d.rules.StartFromAfar:
		if d.buttons == nil {
			refuse(c, "a start takes the START button, and this machine has none; the machine file can allow one from afar")
			return
		}
		d.choose(c.Recipe, now+d.rules.Confirm)
		c.Answer <- Answer{OK: true, Text: fmt.Sprintf("%s is selected: press START at the cabinet within %s",
			quantity.Quote(c.Recipe), quantity.FormatDuration(d.rules.Confirm))}
	case request.Verb != hal.None:
		refuse(c, "a button at the cabinet is pressed: let it go")
	default:
		d.ask(c, request, hal.Request{Verb: hal.Start, Recipe: c.Recipe})
	}
}

// ask puts a command's request in place of the buttons'.
func (d *Desk) ask(c Command, request *hal.Request, asked hal.Request) {
	*request = asked
	d.asked = &c
}

func refuse(c Command, why string) { c.Answer <- Answer{Text: why} }
