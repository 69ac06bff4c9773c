package report

import (
	"fmt"
	"strings"
)

// describe says in words what the picture shows.
func (p *picture) describe() string {
	var b strings.Builder
	fmt.Fprintf(&b, "Curves over the session clock from %s to %s.", Clock(p.from), Clock(p.to))
	if len(p.phases) > 0 {
		b.WriteString(" Phases:")
		shown := 0
		for _, f := range p.phases {
			if clean(f.Name) == "" {
				continue
			}
			if shown++; shown > 12 {
				b.WriteString(" and more")
				break
			}
			if shown > 1 {
				b.WriteByte(',')
			}
			fmt.Fprintf(&b, " %s from %s", clean(f.Name), Clock(f.From))
		}
		b.WriteByte('.')
	}
	for _, n := range p.panels {
		for _, l := range n.Lines {
			if l.Track != nil {
				fmt.Fprintf(&b, " %s, %s: %s.", clean(n.Title), clean(l.Name), l.Track.words(clean(n.Unit)))
			}
		}
	}
	for _, f := range p.flags {
		fmt.Fprintf(&b, " %s at %s: %s.", f.Severity, Clock(f.At), strings.TrimSuffix(clean(f.Label), "."))
	}
	return b.String()
}

// words is the range of a track in words.
func (k *Track) words(unit string) string {
	if k.total.count == 0 {
		return "no reading"
	}
	return fmt.Sprintf("least %s %s at %s, greatest %s %s at %s",
		reading(k.total.min, k.total.big()), unit, Clock(k.total.minAt),
		reading(k.total.max, k.total.big()), unit, Clock(k.total.maxAt))
}
