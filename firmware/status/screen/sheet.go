package screen

import "strings"

// tone is what a line is, for a terminal with colours.
type tone string

const (
	normal tone = ""
	strong tone = "\x1b[1m"
	quiet  tone = "\x1b[2m"
	alarm  tone = "\x1b[1;31m"
	notice tone = "\x1b[33m"
	fine   tone = "\x1b[32m"
	reset       = "\x1b[0m"
)

// line is one line of the screen.
type line struct {
	text string
	tone tone
}

// sheet collects lines of a width.
type sheet struct {
	width int
	lines []line
}

func (s *sheet) put(t tone, text string) {
	s.lines = append(s.lines, line{strings.TrimRight(cut(text, s.width), " "), t})
}

// tell puts a text behind a name, wrapped under itself, on no more than most
// lines.
func (s *sheet) tell(t tone, name, text string, most int) {
	room := s.width - indent
	if room < 10 {
		s.put(t, name+" "+text)
		return
	}
	for i, part := range wrap(text, room, most) {
		if i > 0 {
			name = ""
		}
		s.put(t, pad(name, indent-1)+" "+part)
	}
}

// indent is where texts begin that have a name before them.
const indent = 10

// cells puts texts side by side, two on a line where they fit.
func (s *sheet) cells(name string, texts []string, perLine int) {
	if s.width < 60 {
		perLine = 1
	}
	each := (s.width - indent) / perLine
	for i := 0; i < len(texts); i += perLine {
		row := pad(name, indent-1) + " "
		for n := i; n < min(i+perLine, len(texts)); n++ {
			row += pad(texts[n], each-1) + " "
		}
		s.put(normal, row)
		name = ""
	}
}

// bar draws a share from 0 to 1 with letters: "[####....]".
func bar(share float64, length int) string {
	if !(share >= 0) {
		return "[" + strings.Repeat(" ", length) + "]"
	}
	n := int(min(share, 1)*float64(length) + 0.5)
	return "[" + strings.Repeat("#", n) + strings.Repeat(".", length-n) + "]"
}
