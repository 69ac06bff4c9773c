package plant

import (
	"testing"

	"bathtender/hal"
)

// BenchmarkStep moves the demo tank on by one tick of 100 ms with heater and
// all banks on.
func BenchmarkStep(b *testing.B) {
	r := newRig(b, demo(b), func() World { c := demo(b); return c.Workshop(1) }())
	out := hal.Outputs{Contactor: true, Fans: true, Heater: true, Banks: hal.FirstBanks(6)}
	b.ReportAllocs()
	for b.Loop() {
		out.Heartbeat, out.FeedWatchdog = !out.Heartbeat, true
		_ = r.Write(out)
		r.Step(tick)
	}
}

// BenchmarkTick is a whole tick as the loop has it, with a snapshot and the truth.
func BenchmarkTick(b *testing.B) {
	r := newRig(b, demo(b), func() World { c := demo(b); return c.Workshop(1) }())
	out := hal.Outputs{Contactor: true, Fans: true, Banks: hal.FirstBanks(6)}
	var s hal.Snapshot
	var sum float64
	b.ReportAllocs()
	for b.Loop() {
		_ = r.Read(&s)
		out.Heartbeat, out.FeedWatchdog = !out.Heartbeat, true
		_ = r.Write(out)
		r.Step(tick)
		truth := r.Truth()
		sum += truth.Bath
	}
	_ = sum
}
