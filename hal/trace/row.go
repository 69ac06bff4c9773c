package trace

import "bathtender/hal"

// Row is one row of a trace: what the cabinet said at one tick, what its owner
// asked, and what a recorder commanded.
type Row struct {
	hal.Snapshot
	Request hal.Request
	// Outputs is what was commanded at this tick; all off unless HasOutputs.
	Outputs hal.Outputs
	// HasOutputs says that the outputs of this row were recorded.
	HasOutputs bool
	// Events is the sentences of what happened at this tick, with "; " between
	// them; empty for nothing. It is UTF-8 without a carriage return.
	Events string
}
