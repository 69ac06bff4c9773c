package live

import (
	"fmt"
	"strings"

	"bathtender/firmware/status"
)

// Short tells what there is to see in a few lines.
func Short(v *status.View) string {
	var b strings.Builder
	fmt.Fprintf(&b, "  %s", v.Session.Phase)
	if v.Session.Recipe != "" {
		fmt.Fprintf(&b, ", recipe %q", v.Session.Recipe)
	}
	if t := v.Bath.A; t != nil {
		fmt.Fprintf(&b, ", bath %.1f \u00b0C", *t)
	}
	if w := v.Mains.Watts; w != nil {
		fmt.Fprintf(&b, ", %.0f W", *w)
	}
	for _, f := range v.Fans {
		if f.Speed != nil {
			fmt.Fprintf(&b, ", fan %d at %.0f rpm", f.Fan, *f.Speed)
		}
	}
	b.WriteString("\n")
	for _, p := range v.Permits {
		if !p.Given && len(p.Why) > 0 {
			fmt.Fprintf(&b, "  %s withheld: %s\n", p.Name, p.Why[0])
		}
	}
	return b.String()
}
