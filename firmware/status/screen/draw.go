package screen

import (
	"fmt"
	"io"
	"strings"

	"bathtender/firmware/status"
	"bathtender/firmware/status/wording"
)

const (
	// Columns is the widest that is drawn, Lines the most lines.
	Columns = 80
	Lines   = 24
	// least is the narrowest that is drawn.
	least = 20
)

// Draw writes the view as no more than Lines lines, none wider than width, which
// is taken as 20 to 80 columns. The error is that of w.
func Draw(w io.Writer, v status.View, width int, colour bool) error {
	_, err := io.WriteString(w, Text(&v, width, Lines, colour))
	return err
}

// Text returns the screen with no more than most lines.
func Text(v *status.View, width, most int, colour bool) string {
	width = min(max(width, least), Columns)
	top, readings := &sheet{width: width}, &sheet{width: width}
	drawTop(top, v)
	drawReadings(readings, v)
	// What is left of the screen belongs to what wants attention, three lines at
	// least; the readings give way to it, the most wanted of them stand first.
	fixed := len(top.lines)
	attention := drawAttention(v, width, max(most-fixed-len(readings.lines), 3))
	lines := append(top.lines, attention...)
	lines = append(lines, readings.lines...)
	if len(lines) > most {
		lines = lines[:most]
		lines[most-1] = line{cut("more than fits here: see the page, or a higher window", width), quiet}
	}
	var out strings.Builder
	for _, l := range lines {
		if colour && l.tone != normal {
			out.WriteString(string(l.tone) + l.text + reset + "\n")
			continue
		}
		out.WriteString(l.text + "\n")
	}
	return out.String()
}

// drawTop draws what the owner needs first.
func drawTop(s *sheet, v *status.View) {
	when := wording.Unknown
	if !v.Wall.IsZero() {
		when = v.Wall.Format("2006-01-02 15:04:05")
	}
	s.put(quiet, fmt.Sprintf("%s  %s  %s", cut(wording.Plain(v.Machine), max(s.width-42, 8)), when, wording.Origin(v)))
	head := strings.ToUpper(wording.Phase(v))
	if recipe := wording.Recipe(v); recipe != "" {
		head += "   " + recipe
	}
	s.put(strong, head)
	left := wording.Left(v)
	if share, ok := wording.Progress(v); ok {
		s.put(normal, bar(share, min(max(s.width-12-width(left), 4), 30))+fmt.Sprintf(" %3.0f %%  ", share*100)+left)
	} else if left != "" {
		s.put(normal, left)
	}
	out, text := wording.Hands(v)
	tone := fine
	if out {
		tone = alarm
	}
	for _, part := range wrap(text, s.width, 2) {
		s.put(tone, part)
	}
}

// drawAttention draws what wants attention on no more than most lines.
func drawAttention(v *status.View, width, most int) []line {
	s := &sheet{width: width}
	list := wording.Attention(v)
	first := wording.FirstOut(v)
	if len(list) == 0 {
		text := "nothing wants attention"
		if v.Format == 0 {
			text = "nothing is known"
		}
		s.put(fine, text)
	}
	for _, n := range list {
		t := notice
		if n.Kind == "trip" || n.Kind == "lockout" {
			t = alarm
		}
		s.tell(t, n.Kind, n.Text, 2)
	}
	if first != "" {
		s.tell(normal, "first-out", first, 2)
	}
	if len(s.lines) > most {
		s.lines = s.lines[:most-1]
		s.put(notice, fmt.Sprintf("%s and more, see the page or the log", strings.Repeat(" ", indent-1)))
		return s.lines
	}
	for i := len(v.Recent) - 1; i >= 0 && len(s.lines) < min(most, len(list)+4); i-- {
		r := &v.Recent[i]
		if v.FirstOut != nil && r.Text == v.FirstOut.Text {
			continue // told above
		}
		s.tell(quiet, wording.Plain(r.Kind), wording.Seconds(r.Ago)+" ago: "+wording.Plain(r.Text), 1)
	}
	return s.lines
}

// Say returns a sentence as no more than most lines, for above the screen.
func Say(text string, width, most int) string {
	var out strings.Builder
	for _, part := range wrap(wording.Plain(text), min(max(width, least), Columns), most) {
		out.WriteString(part + "\n")
	}
	return out.String()
}
