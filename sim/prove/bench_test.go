package prove

import "testing"

// BenchmarkSearch reports how fast one view is searched by one worker.
func BenchmarkSearch(b *testing.B) {
	for _, name := range []string{"contactor", "reset", "mains"} {
		b.Run(name, func(b *testing.B) {
			states, transitions, bytes := 0, 0, 0
			for b.Loop() {
				r, err := Search(Find(name), nil)
				if err != nil {
					b.Fatal(err)
				}
				states, transitions, bytes = states+r.States, transitions+r.Transitions, bytes+r.Bytes
			}
			seconds := b.Elapsed().Seconds()
			b.ReportMetric(float64(states)/seconds, "states/s")
			b.ReportMetric(float64(transitions)/seconds, "transitions/s")
			b.ReportMetric(float64(bytes)/float64(states), "bytes/state")
		})
	}
}
