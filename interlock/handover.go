package interlock

// handOver ends the first-out when all that followed it has been reset. Where that
// comes at the very tick at which something else trips, that is the first-out of
// another shutdown. waited is what was latched before this tick.
func (m *Memory) handOver(waited Set, events *Events) {
	if m.Latched.Empty() {
		m.First = FirstOut{}
		return
	}
	if waited.Empty() || waited.overlaps(&m.Latched) {
		return
	}
	all := events.All()
	for i := range all {
		if e := &all[i]; e.Kind == Tripped {
			e.FirstOut = true
			m.First = FirstOut{Slot: uint8(SlotOf(e.Function, int(e.Place))) + 1, At: e.At, Value: e.Value, Limit: e.Limit}
			return
		}
	}
}
