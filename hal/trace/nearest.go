package trace

import "strings"

// longestGuess is twice the longest name of a column, in bytes.
const longestGuess = 32

// nearest returns the known column name that text may have been meant for, or
// nothing where none is close: at most a third of its letters differ.
func nearest(text string) string {
	if len(text) > longestGuess {
		return ""
	}
	best, least := "", len(text)/3+1
	for i := range columns {
		if d := editDistance(text, columns[i].name); d < least {
			best, least = columns[i].name, d
		}
	}
	return best
}

// editDistance returns how many bytes must be put in, left out or changed to
// turn a into b, without regard to the case of letters (Levenshtein 1966).
func editDistance(a, b string) int {
	a, b = strings.ToLower(a), strings.ToLower(b)
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			change := diagonal
			if a[i] != b[j] {
				change++
			}
			diagonal = row[j+1]
			row[j+1] = min(change, row[j]+1, diagonal+1)
		}
	}
	return row[len(b)]
}
