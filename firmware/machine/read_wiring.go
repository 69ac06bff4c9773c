package machine

import (
	"strings"

	"bathtender/firmware/tomlfile"
	"bathtender/hal/quantity"
)

// linesMax is more than a GPIO chip has.
const linesMax = 511

func (r *reader) readWiring() {
	signals := r.signals()
	at := map[string]*tomlfile.Table{}
	used := map[Line]*tomlfile.Table{}
	for _, t := range r.lines {
		line := Line{
			Signal: t.NeedText("signal", 40),
			Chip:   t.NeedText("chip", 40),
			Offset: t.NeedInteger("line", 0, linesMax),
			Active: t.NeedChoice("active", "high", "low"),
			Bias:   t.Choice("bias", "", "up", "down", "off"),
		}
		r.m.Wiring.Lines = append(r.m.Wiring.Lines, line)
		if t.Good("chip", "line") {
			place := Line{Chip: line.Chip, Offset: line.Offset}
			if first := used[place]; first != nil {
				r.file.Contradict(t.Ref("line"), "is the same line of the same chip as", first.Ref("line"), "each line may carry one signal")
			} else {
				used[place] = t
			}
		}
		if t.Good("signal") {
			r.checkSignal(t, line, signals, at)
			checkBias(t, signals, &r.m.Wiring.Lines[len(r.m.Wiring.Lines)-1])
		}
	}
	if len(r.lines) == 0 {
		return
	}
	for _, s := range signals {
		if s.Needed && at[s.Name] == nil {
			r.file.Report(r.lines[0].At(), "signal %q (%s) is on no line, one [[wiring]] for it must be there", s.Name, s.What)
		}
	}
}

// signals returns the machine's signals, those included whose presence the file
// states in a way that could not be read.
func (r *reader) signals() []Signal {
	m := *r.m
	if r.heater != nil {
		m.Heater.Power = max(m.Heater.Power, 1)
	}
	c := &m.Contacts
	for key, fitted := range map[string]*bool{"float": &c.Float, "lid": &c.Lid, "leak": &c.Leak, "aux": &c.Aux} {
		*fitted = *fitted || !r.contacts.Good(key)
	}
	return m.Signals()
}

func (r *reader) checkSignal(t *tomlfile.Table, line Line, signals []Signal, at map[string]*tomlfile.Table) {
	names := make([]string, len(signals))
	for i := range signals {
		s := &signals[i]
		names[i] = s.Name
		if s.Name != line.Signal {
			continue
		}
		if first := at[s.Name]; first != nil {
			r.file.Contradict(t.Ref("signal"), "is the same as", first.Ref("signal"), "each signal may be on one line")
			return
		}
		at[s.Name] = t
		if s.activeHigh() && line.Active == "low" && t.Good("active") {
			t.Report("active", "active \"low\" in %s is not safe for %q: a broken wire or a failed read is low too, allowed is \"high\"", t.Label(), s.Name)
		}
		return
	}
	allowed := "allowed are " + strings.Join(names, ", ")
	if near := quantity.Nearest(line.Signal, names); near != "" {
		allowed = "the nearest allowed one is " + quantity.Quote(near)
	}
	t.Report("signal", "signal %s in %s is not one of this machine, %s", quantity.Quote(line.Signal), t.Label(), allowed)
}
