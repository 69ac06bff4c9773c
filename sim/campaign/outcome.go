package campaign

import (
	"time"

	"bathtender/sim/fault"
	"bathtender/sim/hazard"
)

// Outcome is what came of a case, in the form in which it is stored and
// tabulated. It says all that any table needs.
type Outcome struct {
	Key string `json:"case"`
	// First is the fault that was there before the start, empty for none.
	First  string `json:"first,omitempty"`
	Second string `json:"second"`
	At     string `json:"at"`
	Seed   uint64 `json:"seed"`
	// Faults are they with their places and sizes.
	Faults   []string `json:"faults"`
	Detected string   `json:"detected,omitempty"`
	Function bool     `json:"function,omitempty"`
	After    float64  `json:"after_s"`
	Safe     float64  `json:"safe_s"`
	Stopped  bool     `json:"stopped,omitempty"`
	Long     bool     `json:"long,omitempty"`
	// Worst and Stood are, in the order of hazard.Table, the most that there was
	// of each hazard and for how many seconds it stood in one go.
	Worst   []float64 `json:"worst"`
	Stood   []float64 `json:"stood_s"`
	Hazards []string  `json:"hazards,omitempty"`
}

// OutcomeOf returns a result in the form in which it is stored.
func OutcomeOf(r *Result) Outcome {
	names := func(kind int) string { return fault.Catalogue[kind].Name }
	o := Outcome{
		Key: r.Case.Key(), Second: names(r.Case.Second), At: r.Case.At.String(), Seed: r.Case.Seed, Faults: r.Faults,
		Detected: r.Detected, Function: r.Function, After: seconds(r.After), Safe: seconds(r.Safe), Stopped: r.Stopped, Long: r.Long,
	}
	if r.Case.First >= 0 {
		o.First = names(r.Case.First)
	}
	for h := range hazard.Count {
		o.Worst = append(o.Worst, float64(int64(r.Monitor.Worst[h]*100))/100)
		o.Stood = append(o.Stood, seconds(r.Monitor.For[h]))
		if r.Monitor.Has(h) {
			o.Hazards = append(o.Hazards, h.String())
		}
	}
	return o
}

func seconds(d time.Duration) float64 { return float64(d.Milliseconds()) / 1000 }
