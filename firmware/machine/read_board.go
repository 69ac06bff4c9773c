package machine

import (
	"slices"
	"strings"
	"time"

	"bathtender/firmware/tomlfile"
	"bathtender/hal/quantity"
)

// priorityMax is the highest real-time priority that Linux has.
const priorityMax = 99

func (r *reader) readBoard() {
	to, t := &r.m.Board, r.board
	to.Watchdog = t.Text("watchdog", 80)
	to.Priority = t.Integer("priority", 0, 0, priorityMax)
	if to.Watchdog != "" && !strings.HasPrefix(to.Watchdog, "/") {
		t.Report("watchdog", "watchdog %s in %s is not a path that begins with a slash, allowed is as in \"/dev/watchdog\"", quantity.Quote(to.Watchdog), t.Label())
	}
}

// checkWatchdog looks at what the board's watchdog can be set to.
func (r *reader) checkWatchdog() {
	if r.m.Board.Watchdog == "" || !r.timings.Good("watchdog") {
		return
	}
	if d := r.m.Timings.Watchdog; d < time.Second || d%time.Second != 0 {
		r.file.Contradict(r.timings.Ref("watchdog"), "does not go with", r.board.Ref("watchdog"), "allowed are whole seconds, 1 s and more, where the board has one")
	}
}

// checkBias fills in the bias of a line where the file has none. A contact that an
// open wire leaves high would read as closed, which is its safe state.
func checkBias(t *tomlfile.Table, signals []Signal, line *Line) {
	at := slices.IndexFunc(signals, func(s Signal) bool { return s.Name == line.Signal })
	if at < 0 {
		return
	}
	s := &signals[at]
	switch {
	case line.Bias == "":
		line.Bias = s.bias()
	case s.Direction == DirectionOut:
		t.Report("bias", "bias %s in %s is on the output %q, allowed is a bias on inputs alone", quantity.Quote(line.Bias), t.Label(), s.Name)
	case s.activeHigh() && line.Bias == "up":
		t.Report("bias", "bias \"up\" in %s is not safe for %q: a broken wire would read as closed or pressed, allowed are \"down\" and \"off\"", t.Label(), s.Name)
	}
}
