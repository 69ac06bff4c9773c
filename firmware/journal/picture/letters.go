package picture

import "strings"

// Widths of letters, in thousandths of the size: those of the metrically equal
// fonts of fonts (from memory, some rounded up), and a tenth more for a font that
// stands in for them.
const (
	fonts  = "Liberation Sans, Arimo, Helvetica, Arial, sans-serif"
	narrow = "iljI.,:;'|!()[]ft/ -"
	wide   = "mwMW%@"
	middle = "ABCDEGHKNOPQRSTUVXY&"
	room   = 1.1
	minus  = '\u2212'
)

// width returns at least the width of a text of a size.
func width(text string, size float64) float64 {
	sum := 0
	for _, c := range text {
		switch {
		case c > '~' && c != minus && c != '\u2013' && c != '\u00b0':
			sum += 1000
		case strings.ContainsRune(narrow, c):
			sum += 340
		case strings.ContainsRune(wide, c):
			sum += 930
		case strings.ContainsRune(middle, c):
			sum += 740
		default:
			sum += 560
		}
	}
	return float64(sum) / 1000 * size * room
}

// wrap breaks a text into lines that are no wider than most, at spaces where it
// can.
func wrap(text string, size, most float64) []string {
	var lines []string
	line := ""
	put := func() {
		if line != "" {
			lines = append(lines, line)
		}
		line = ""
	}
	for _, word := range strings.Fields(oneLine(text)) {
		if line != "" && width(line+" "+word, size) > most {
			put()
		}
		if line != "" {
			line += " "
		}
		for _, c := range word {
			if line != "" && width(line+string(c), size) > most {
				put()
			}
			line += string(c)
		}
	}
	put()
	return lines
}
