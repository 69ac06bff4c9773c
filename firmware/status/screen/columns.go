package screen

import (
	"strings"
	"unicode"
)

// columns returns at least how many columns a rune takes. A letter of a script
// whose letters may be wide counts as two, so that a line is rather too short
// than too long (Unicode Standard Annex 11, East Asian Width; ambiguous counts as
// narrow only for the signs that are drawn here).
func columns(c rune) int {
	switch {
	case unicode.In(c, unicode.Mn, unicode.Me, unicode.Cf):
		return 0
	case c < 0x1100, c >= 0x2010 && c <= 0x2027, c == '\u2212':
		return 1
	}
	return 2
}

// width returns at least how many columns a text takes.
func width(text string) int {
	sum := 0
	for _, c := range text {
		sum += columns(c)
	}
	return sum
}

// sign stands where a text was cut.
const sign = "…"

// cut makes a text no wider than most columns.
func cut(text string, most int) string {
	if width(text) <= most {
		return text
	}
	if most < 1 {
		return ""
	}
	sum := 0
	for i, c := range text {
		if sum += columns(c); sum > most-1 {
			return strings.TrimRight(text[:i], " ") + sign
		}
	}
	return text
}

// pad fills a text up to a width, or cuts it to that.
func pad(text string, most int) string {
	text = cut(text, most)
	return text + strings.Repeat(" ", most-width(text))
}

// wrap breaks a text into lines no wider than most, at spaces where it can. The
// last of no more than count lines ends with the sign if there was more.
func wrap(text string, most, count int) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(text) {
		if line != "" && width(line)+1+width(word) > most {
			lines = append(lines, line)
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += word
		for width(line) > most { // a word that fits on no line
			head := fitting(line, most)
			lines = append(lines, line[:head])
			line = line[head:]
			if len(lines) > count {
				break
			}
		}
		if len(lines) > count {
			break
		}
	}
	if line != "" {
		lines = append(lines, line)
	}
	if len(lines) > count {
		lines = lines[:count]
		if count > 0 {
			last := &lines[count-1]
			*last = cut(*last, most-1)
			*last = strings.TrimSuffix(*last, sign) + sign
		}
	}
	return lines
}

// fitting returns how many bytes of a text fit into most columns, one rune at the
// least.
func fitting(text string, most int) int {
	sum := 0
	for i, c := range text {
		if sum += columns(c); sum > most && i > 0 {
			return i
		}
	}
	return len(text)
}
