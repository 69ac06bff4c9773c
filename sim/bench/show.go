package bench

import (
	"fmt"
	"io"
	"strings"
	"time"

	"bathtender/hal"
	"bathtender/hal/quantity"
	"bathtender/interlock"
	"bathtender/sim/report"
)

// show is the statement show: the whole bench on one screen.
type show struct{}

func (show) do(s *Session, _ Place) error { return s.Bench.Show(s.Out) }

// Show writes the whole bench: readings, outputs, phase, permits, delays and
// latches. A star marks what somebody has set.
func (b *Bench) Show(w io.Writer) error {
	status, memory := b.Supervisor.Status(), b.Supervisor.Memory()
	var text strings.Builder
	row := func(head, body string) { fmt.Fprintf(&text, "  %-9s %s\n", head, body) }
	clock := report.Clock(b.now)
	if b.fresh == 0 {
		clock += ", before the program's first tick"
	}
	row("clock", clock)
	row("session", b.sessionText())
	row("bath", b.list(point{probe, hal.BathA}, point{probe, hal.BathB}, point{probe, hal.Cabinet}))
	row("meter", b.list(point{kind: watts}, point{kind: mains}))
	var fans, banks []point
	for i := range b.Machine.Fans {
		fans = append(fans, point{fan, i})
	}
	row("fans", b.alike("fans", fans))
	row("contacts", b.states())
	for i := range b.Machine.Banks {
		banks = append(banks, point{bank, i})
	}
	loads := b.alike("banks", banks)
	if b.Machine.Heater.Power > 0 {
		loads = b.list(point{kind: heater}) + ", " + loads
	}
	row("loads", loads)
	o := b.Outputs
	row("outputs", fmt.Sprintf("contactor %s, fans %s, heater %s, banks %s, sounder %s, lamp %s, watchdog %s",
		onOr[o.Contactor], onOr[o.Fans], onOr[o.Heater], o.Banks.Text(len(b.Machine.Banks)), onOr[o.Sounder], onOr[o.Lamp],
		map[bool]string{true: "fed", false: "unfed"}[o.FeedWatchdog]))
	p := status.Permits
	row("permits", fmt.Sprintf("contactor %s, heater %s, emission %s, start %s, banks %s", givenOr[p.Contactor], givenOr[p.Heater],
		givenOr[p.Emission], givenOr[p.Start], p.Banks.Text(len(b.Machine.Banks))))
	row("delays", b.filling())
	row("tripped", none(named(&memory.Interlock.Latched)))
	row("held", none(named(&memory.Interlock.Held)))
	first := "none"
	if status.FirstOut.Slot != 0 {
		set := interlock.Set{}.With(int(status.FirstOut.Slot) - 1)
		first = named(&set) + " at " + report.Clock(status.FirstOut.At)
	}
	row("first-out", first)
	_, err := io.WriteString(w, text.String())
	return err
}

var onOr = map[bool]string{true: "on", false: "off"}

func none(text string) string {
	if text == "" {
		return "none"
	}
	return text
}

// sessionText tells phase and time to go.
func (b *Bench) sessionText() string {
	status := b.Supervisor.Status()
	text := status.Phase.String()
	if status.Recipe != "" {
		text = fmt.Sprintf("%q, %s", status.Recipe, text)
		if status.Side > 1 {
			text += fmt.Sprintf(", side %d", status.Side)
		}
	}
	if status.ToGo.Total > 0 {
		text += fmt.Sprintf(", %s of it to go, %s in all", quantity.FormatDuration(status.ToGo.Phase), quantity.FormatDuration(status.ToGo.Total))
		if !status.ToGo.Known {
			text += " and the time that preheat takes"
		}
	}
	if status.RollCall > 0 {
		text += fmt.Sprintf(", bank %d off for the roll-call", status.RollCall)
	}
	return text
}

// list tells points that are numbers; those that are not fitted are left out.
func (b *Bench) list(points ...point) string {
	var list []string
	for _, p := range points {
		if p.kind == probe && !b.Machine.Probes[p.place].Fitted || p.kind == mains && !b.Machine.Meter.Volts {
			continue
		}
		list = append(list, p.String()+" "+b.knobText(p))
	}
	return none(strings.Join(list, ", "))
}

// alike tells points of one kind, in one where they all say the same.
func (b *Bench) alike(name string, points []point) string {
	for _, p := range points {
		if b.knobText(p) != b.knobText(points[0]) {
			return b.list(points...)
		}
	}
	return name + " " + b.knobText(points[0])
}

// knobText tells where a knob stands.
func (b *Bench) knobText(p point) string {
	d, a := p.dial(b.Machine), b.knob(p)
	text := "nothing"
	if a.valid {
		text = d.format(a.value)
	}
	if a.age > 0 {
		text += " old " + quantity.FormatDuration(a.age)
	}
	if a.ageing {
		text += " ageing"
	}
	if a.ramp.took > 0 {
		text += fmt.Sprintf(" to %s in %s", d.format(a.ramp.to), quantity.FormatDuration(a.ramp.took-a.ramp.done))
	}
	if !a.follows {
		text += "*"
	}
	return text
}

// states tells the contacts and what the board says of itself, by state.
func (b *Bench) states() string {
	var list []string
	group := func(state string, names []string) {
		if len(names) > 0 {
			list = append(list, strings.Join(names, ", ")+" "+state)
		}
	}
	for _, state := range [...]hal.Contact{hal.Closed, hal.Open, hal.Absent} {
		var names []string
		for place, c := range b.contacts {
			if c.state != state {
				continue
			}
			name := contactNames[place]
			if !c.follows && (state != hal.Absent || b.fitted(place)) {
				name += "*"
			}
			names = append(names, name)
		}
		group(state.String(), names)
	}
	for _, good := range [...]bool{true, false} {
		var names []string
		for place, is := range b.assents {
			if is == good {
				names = append(names, assentNames[place])
			}
		}
		group(map[bool]string{true: "good", false: "bad*"}[good], names)
	}
	return strings.Join(list, "; ")
}

// filling tells the delays that have begun to fill, how far of how much.
func (b *Bench) filling() string {
	var list []string
	for _, e := range b.Supervisor.Explain() {
		if e.Counter <= 0 {
			continue
		}
		set := interlock.Set{}.With(interlock.SlotOf(e.Function, e.Place))
		list = append(list, fmt.Sprintf("%s %s of %s", named(&set), seconds(e.Counter), seconds(e.Delay)))
	}
	return none(strings.Join(list, ", "))
}

// seconds returns a time in seconds, exact to a microsecond: "0.975 s".
func seconds(d time.Duration) string { return fmt.Sprintf("%g s", float64(d/time.Microsecond)/1e6) }
