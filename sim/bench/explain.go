package bench

import (
	"fmt"

	"bathtender/interlock"
)

// explaining is explain: what each protective function finds, and why.
type explaining struct{ all bool }

func (r *reader) explain() (action, error) { return explaining{r.take("all")}, nil }

func (e explaining) do(s *Session, _ Place) error {
	told := 0
	for _, one := range s.Bench.Supervisor.Explain() {
		quiet := one.Finding.Verdict == interlock.Clear || one.Finding.Verdict == interlock.Idle
		if !e.all && quiet && !one.Latched && !one.Held && one.Counter == 0 {
			continue
		}
		told++
		if _, err := fmt.Fprintf(s.Out, "  - %s\n", one.Sentence()); err != nil {
			return err
		}
	}
	if told > 0 {
		return nil
	}
	text := "  every protective function is clear or does not apply"
	if s.Bench.fresh == 0 {
		text = "  the program has not ticked yet"
	}
	_, err := fmt.Fprintln(s.Out, text)
	return err
}
