package main

import (
	"bathtender/firmware/machine"
	"bathtender/firmware/presence"
	"bathtender/hal/board"
)

// panel is the buttons of a board.
type panel struct{ board *board.Board }

// Buttons implements presence.Buttons.
func (p panel) Buttons() (start, reset bool) {
	start, reset, _ = p.board.Buttons()
	return start, reset
}

// buttons returns the buttons of the cabinet; nil where it has none.
func (h *hardware) buttons(m *machine.Machine) presence.Buttons {
	for _, line := range m.Wiring.Lines {
		if line.Signal == board.StartButton || line.Signal == board.ResetButton {
			return panel{h.board}
		}
	}
	return nil
}
