package machine

import (
	"fmt"
	"strings"
)

// WiringText returns the wiring table: each signal with its line, its active
// level, what it is and the state that it falls to, then how to wire it. Mains
// wiring is for a licensed electrician; the table shows the board's side alone.
func (m *Machine) WiringText() string {
	lines := map[string]Line{}
	for _, l := range m.Wiring.Lines {
		lines[l.Signal] = l
	}
	rows := [][]string{{"signal", "way", "chip", "line", "active", "safe state"}}
	var remarks strings.Builder
	for _, s := range m.Signals() {
		line, wired := lines[s.Name]
		switch {
		case wired:
			rows = append(rows, []string{s.Name, string(s.Direction), line.Chip, fmt.Sprint(line.Offset), line.Active, s.Safe})
		case s.Needed:
			rows = append(rows, []string{s.Name, string(s.Direction), "-", "-", "-", s.Safe})
		default:
			continue
		}
		remark := s.What
		if s.Remark != "" {
			remark += "; " + s.Remark
		}
		if s.Direction == DirectionOut && line.Active == "low" {
			remark += "; active low: make sure that the board's lines cannot switch it on while the board starts"
		}
		remarks.WriteString(wrap(s.Name+": "+remark+".", 78, "  "))
	}
	var b strings.Builder
	fmt.Fprintf(&b, "Wiring of %q, the board's side\n", m.Name)
	b.WriteString("Mains wiring is for a licensed electrician.\n\n")
	if len(lines) == 0 {
		b.WriteString("The machine file has no [[wiring]]: the machine can be simulated, not run.\n\n")
	}
	columns(&b, rows)
	b.WriteString("\nHow each is wired\n\n")
	b.WriteString(remarks.String())
	return b.String()
}

// columns writes rows with their cells aligned, two spaces apart.
func columns(b *strings.Builder, rows [][]string) {
	width := make([]int, len(rows[0]))
	for _, row := range rows {
		for i, cell := range row {
			width[i] = max(width[i], len([]rune(cell)))
		}
	}
	for _, row := range rows {
		var line strings.Builder
		for i, cell := range row {
			line.WriteString(cell + strings.Repeat(" ", width[i]-len([]rune(cell))+2))
		}
		b.WriteString(strings.TrimRight(line.String(), " ") + "\n")
	}
}

// wrap breaks text into lines of at most the given width; all but the first are
// indented.
func wrap(text string, width int, indent string) string {
	var b strings.Builder
	line := ""
	for word := range strings.FieldsSeq(text) {
		if line != "" && len([]rune(line))+1+len([]rune(word)) > width {
			b.WriteString(line + "\n")
			line = indent + word
			continue
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	return b.String() + line + "\n"
}
