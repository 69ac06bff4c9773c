package prove

import "bathtender/firmware/supervisor"

// State is one state of the search: what the supervisor remembers, and what the
// monitor has seen. The zero State is that before the first tick.
type State struct {
	Memory  supervisor.Memory
	Monitor Monitor
}
