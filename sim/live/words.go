package live

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"bathtender/firmware/machine"
	"bathtender/hal/quantity"
	"bathtender/interlock"
	"bathtender/sim/fault"
)

// Words is what may be typed, one a line.
const Words = `press start|stop|reset [for TIME]   hold a button, half a second unless told
break FAULT [PLACE] [AMOUNT]        break fan stalled 2; break leak 2 l/min
mend FAULT [PLACE] | mend all       take a fault away; what it did remains
faults                              what can be broken, and what is
speed N                             so many simulated seconds a second, 1 to 2000
wait TIME                           of the simulated clock
wait until PHASE|trip|idle          at most two simulated hours
status                              what there is to see, in a few lines
help
quit                                end in order`

// holdUsual is how long a button is held.
const holdUsual = 500 * time.Millisecond

// ButtonNames are the names of the buttons by their places.
var ButtonNames = [buttons]string{"start", "stop", "reset"}

// ParsePress reads what follows "press".
func ParsePress(words []string) (Button, time.Duration, error) {
	if len(words) == 0 {
		return 0, 0, fmt.Errorf("press what? allowed are %s", strings.Join(ButtonNames[:], ", "))
	}
	i := slices.Index(ButtonNames[:], words[0])
	if i < 0 {
		return 0, 0, fmt.Errorf("there is no button %s, allowed are %s", quantity.Quote(words[0]), strings.Join(ButtonNames[:], ", "))
	}
	if len(words) == 1 {
		return Button(i), holdUsual, nil
	}
	if words[1] != "for" {
		return 0, 0, fmt.Errorf("%s after the button is not understood, allowed is \"for\" and a time", quantity.Quote(words[1]))
	}
	hold, err := ParseTime(words[2:])
	return Button(i), hold, err
}

// ParseTime reads a time of the simulated clock, up to a day.
func ParseTime(words []string) (time.Duration, error) {
	text := strings.Join(words, " ")
	d, err := quantity.Duration.Parse(text)
	switch {
	case err != nil:
		return 0, err
	case d <= 0 || d > 24*time.Hour:
		return 0, fmt.Errorf("time %s is out of range, allowed is more than 0 s to 24 h", quantity.Quote(text))
	}
	return d, nil
}

// ParseFault reads a fault: its name, then its place where it has one, then its
// amount where it has one and another than the usual is meant.
func ParseFault(m *machine.Machine, words []string) (fault.Fault, error) {
	text := strings.Join(words, " ")
	kind, rest := longest(text)
	if kind == nil {
		sentence := "there is no fault " + quantity.Quote(text) + "; faults lists them"
		if near := quantity.Nearest(text, fault.Names()); near != "" {
			sentence = "there is no fault " + quantity.Quote(text) + ", did you mean " + quantity.Quote(near) + "?"
		}
		return fault.Fault{}, fmt.Errorf("%s", sentence)
	}
	f := fault.Fault{Kind: kind, Size: 1}
	var err error
	if f.Place, rest, err = placeOf(m, kind, rest); err != nil {
		return fault.Fault{}, err
	}
	switch rest = strings.TrimSpace(rest); {
	case kind.Amount == fault.NoAmount && rest != "":
		return fault.Fault{}, fmt.Errorf("%s after the fault %s is not understood", quantity.Quote(rest), quantity.Quote(kind.Name))
	case kind.Amount == fault.NoAmount:
	case rest == "":
		f.Size = kind.Usual
	default:
		if f.Size, err = kind.Amount.Parse(rest); err != nil {
			return fault.Fault{}, err
		}
		if f.Size < kind.Least || f.Size > kind.Most {
			return fault.Fault{}, fmt.Errorf("amount %s is out of range, allowed are %s to %s", quantity.Quote(rest), kind.Amount.Number(kind.Least), kind.Amount.Number(kind.Most))
		}
	}
	return f, nil
}

// longest returns the kind with the longest name that the text begins with.
func longest(text string) (*fault.Kind, string) {
	var found *fault.Kind
	for i := range fault.Catalogue {
		kind := &fault.Catalogue[i]
		if (text == kind.Name || strings.HasPrefix(text, kind.Name+" ")) && (found == nil || len(kind.Name) > len(found.Name)) {
			found = kind
		}
	}
	if found == nil {
		return nil, ""
	}
	return found, strings.TrimPrefix(text, found.Name)
}

func placeOf(m *machine.Machine, kind *fault.Kind, rest string) (int, string, error) {
	if kind.Of == fault.TheCabinet {
		return 0, rest, nil
	}
	rest = strings.TrimSpace(rest)
	if kind.Of == fault.AProbe {
		for i, name := range fault.ProbeNames {
			if after, ok := strings.CutPrefix(strings.ToLower(rest), strings.ToLower(name)); ok && m.Probes[i].Fitted {
				return i, after, nil
			}
		}
		return 0, "", fmt.Errorf("%s needs a probe after it, allowed are %s", quantity.Quote(kind.Name), strings.Join(fault.ProbeNames[:], ", "))
	}
	most, what := len(m.Fans), interlock.EachFan
	if kind.Of == fault.ABank {
		most, what = len(m.Banks), interlock.EachBank
	}
	word, after, _ := strings.Cut(rest, " ")
	n, err := strconv.Atoi(word)
	if err != nil || n < 1 || n > most {
		return 0, "", fmt.Errorf("%s needs a number after it, allowed are 1 to %d: %s to %s",
			quantity.Quote(kind.Name), most, what.It(0), what.It(most-1))
	}
	return n - 1, after, nil
}
