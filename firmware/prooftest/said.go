package prooftest

import (
	"regexp"
	"strings"
	"time"

	"bathtender/firmware/status"
	"bathtender/hal/quantity"
	"bathtender/interlock"
)

// said is how the program says that one protective function has acted.
type said struct {
	names     [2]string // as a latch may be named
	sentences []*regexp.Regexp
}

func newSaid(f interlock.Function, place int) *said {
	row := &interlock.Table[f]
	s := &said{names: [2]string{interlock.Event{Function: f, Place: uint8(place)}.Name(), row.Name}}
	if row.Scope != interlock.Whole {
		s.names[1] += ", " + row.Scope.It(place)
	}
	texts := []string{row.Blind}
	for _, w := range row.Says {
		texts = append(texts, w.Text)
	}
	for _, text := range texts {
		if text == "" {
			continue
		}
		text = regexp.QuoteMeta(strings.ReplaceAll(text, "{it}", row.Scope.It(place)))
		for _, hole := range []string{"value", "limit", "stood"} {
			text = strings.ReplaceAll(text, `\{`+hole+`\}`, `(?P<`+hole+`>\S+(?: \S+){0,3})`)
		}
		s.sentences = append(s.sentences, regexp.MustCompile("^"+text+": "))
	}
	return s
}

// latched reports whether the function waits for a reset.
func (s *said) latched(v *status.View) bool {
	for _, l := range v.Latched {
		if l.Name == s.names[0] || l.Name == s.names[1] {
			return true
		}
	}
	return false
}

// act is what the program says of a function that has acted.
type act struct {
	at float64 // on the clock of the views
	// stood is for how long its cause stood, as the program has it; 0 where it does not
	// say.
	stood time.Duration
}

// acted returns how the function acted, if that was after a moment on the clock of the
// views.
func (s *said) acted(v *status.View, after float64) (act, bool) {
	for i := len(v.Recent) - 1; i >= 0; i-- {
		h := &v.Recent[i]
		at := v.Uptime - h.Ago
		if at < after || h.Kind != "trip" && h.Kind != "hold" {
			continue
		}
		for _, sentence := range s.sentences {
			found := sentence.FindStringSubmatch(h.Text)
			if found == nil {
				continue
			}
			a := act{at: at}
			if group := sentence.SubexpIndex("stood"); group > 0 {
				a.stood, _ = quantity.ParseDuration(found[group])
			}
			return a, true
		}
	}
	return act{}, false
}
