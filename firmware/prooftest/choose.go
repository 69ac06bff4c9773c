package prooftest

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"bathtender/hal/quantity"
)

// Choose returns the steps of a name: of one step, or of a function with all its
// places. An empty name is all of them.
func Choose(steps []Step, name string) ([]Step, error) {
	if name == "" {
		return steps, nil
	}
	wanted := strings.TrimSpace(name)
	var chosen []Step
	var names []string
	for _, s := range steps {
		if strings.EqualFold(wanted, s.Name()) {
			return []Step{s}, nil
		}
		if strings.EqualFold(wanted, s.Function.Name()) {
			chosen = append(chosen, s)
		}
		for _, known := range []string{s.Function.Name(), s.Name()} {
			if !slices.Contains(names, known) {
				names = append(names, known)
			}
		}
	}
	if chosen != nil {
		return chosen, nil
	}
	if near := quantity.Nearest(wanted, names); near != "" {
		return nil, fmt.Errorf("there is no protective function %s on this machine; did you mean %s?", quantity.Quote(name), quantity.Quote(near))
	}
	return nil, fmt.Errorf("there is no protective function %s on this machine; prooftest -list names them", quantity.Quote(name))
}

// List writes what there is to try, and how.
func List(w io.Writer, steps []Step) error {
	var b strings.Builder
	for i := range steps {
		s := &steps[i]
		if s.ByHand() {
			fmt.Fprintf(&b, "%s\n    by hand: %s\n    must be seen %s: %s\n", s.Name(), s.Do, s.Soon(), s.Takes())
		} else {
			fmt.Fprintf(&b, "%s\n    not by hand: %s\n", s.Name(), s.Otherwise)
		}
	}
	_, err := io.WriteString(w, b.String())
	return err
}
