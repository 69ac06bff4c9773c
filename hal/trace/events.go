package trace

import (
	"fmt"
	"strings"
)

// eventsColumn is events: what happened at a tick, in sentences.
func eventsColumn() column {
	return column{
		name: eventsName, about: "what happened at this tick, in sentences", base: "string", blank: true,
		parse: func(row *Row, text string) error {
			if err := checkText(text); err != nil {
				return fmt.Errorf("%w", err)
			}
			row.Events = strings.Clone(text)
			return nil
		},
		append: func(dst []byte, row *Row, _ int) []byte {
			if row.Events == "" {
				return dst
			}
			return append(appendDoubled(append(dst, '"'), row.Events), '"')
		},
	}
}
