package trace

import (
	"fmt"
	"strings"
)

// eventsColumn is events: what happened at a tick, in sentences. A sentence may
// hold whatever its words need, so the field is always in quotes, or empty.
func eventsColumn() column {
	return column{
		name: eventsName, about: "what happened at this tick, in sentences", base: "string", blank: true,
		parse: func(row *Row, text string) error {
			// A copy, so that kept sentences do not keep their whole row.
			row.Events = strings.Clone(text)
			return checkText(text)
		},
		append: func(dst []byte, row *Row, _ int) []byte {
			if row.Events == "" {
				return dst
			}
			return append(appendDoubled(append(dst, '"'), row.Events), '"')
		},
	}
}

// checkEvents says what a trace cannot hold of the events of a row.
func checkEvents(events string) error {
	if err := checkText(events); err != nil {
		return fmt.Errorf("the text of the events, %s, %w", quote(events), err)
	}
	return nil
}
