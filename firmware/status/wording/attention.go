package wording

import (
	"strconv"

	"bathtender/firmware/status"
)

// Notice is one thing that wants attention. Kind is one word for what it is:
// "lockout", "trip", "to do", "bank", "journal", "care" or "loop".
type Notice struct{ Kind, Text string }

// Attention returns what wants attention, the gravest first.
func Attention(v *status.View) []Notice {
	var list []Notice
	add := func(kind, text string) { list = append(list, Notice{kind, text}) }
	for _, lockout := range []bool{true, false} {
		for i := range v.Latched {
			if l := &v.Latched[i]; l.Lockout == lockout {
				add(latchKind(l), Latch(l))
			}
		}
	}
	if v.Session.Phase == "turn-over" {
		add("to do", "turn the parts over and press START")
	}
	for i := range v.Banks {
		if b := &v.Banks[i]; b.OutOfService {
			add("bank", "bank "+strconv.Itoa(b.Bank)+" is out of service until it is reset")
		}
	}
	if v.Format > 0 && !v.Journal.OK {
		add("journal", Journal(v))
	}
	for _, text := range v.Care {
		add("care", Plain(text))
	}
	if v.Loop.Late > 0 {
		add("loop", strconv.FormatUint(v.Loop.Late, 10)+" of "+strconv.FormatUint(v.Loop.Ticks, 10)+" ticks came late, the latest by "+
			Value(v.Loop.Worst*1000, 0, "ms"))
	}
	return list
}

func latchKind(l *status.Latch) string {
	if l.Lockout {
		return "lockout"
	}
	return "trip"
}

// Latch says what a protective function waits for: `airflow lost, fan 2: fan 2 at
// 310 rpm ... (its cause still stands)`.
func Latch(l *status.Latch) string {
	text := Plain(l.Name)
	if l.Text != "" {
		text += ": " + Plain(l.Text)
	}
	if l.Stands {
		return text + " (its cause still stands)"
	}
	return text + " (its cause has gone, it waits for a reset)"
}

// FirstOut says what the first cause of the last shutdown was; empty for none.
func FirstOut(v *status.View) string {
	if v.FirstOut == nil {
		return ""
	}
	return Plain(v.FirstOut.Text) + ", " + Seconds(v.FirstOut.Ago) + " ago"
}

// Journal says how the journal is.
func Journal(v *status.View) string {
	switch {
	case v.Format == 0:
		return "-"
	case v.Journal.OK:
		return "records are written"
	case v.Journal.Why == "":
		return "records cannot be written"
	}
	return "records cannot be written: " + Plain(v.Journal.Why)
}
