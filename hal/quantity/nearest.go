package quantity

// Nearest returns the known word nearest to the given one, or "" where none is
// near enough to be meant.
func Nearest(word string, known []string) string {
	nearest, least := "", 1+max(2, len(word)/3)
	for _, k := range known {
		if d := distance(word, k); d < least {
			nearest, least = k, d
		}
	}
	return nearest
}

// distance counts the letters to change, add or leave out to get from a to b
// (Levenshtein's distance); capitals count as their small letters.
func distance(a, b string) int {
	if len(a) > 64 {
		return len(a) // too long to be a mistyped key
	}
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		corner := row[0]
		row[0] = i + 1
		for j := range len(b) {
			cost := 1
			if lower(a[i]) == lower(b[j]) {
				cost = 0
			}
			corner, row[j+1] = row[j+1], min(row[j+1]+1, row[j]+1, corner+cost)
		}
	}
	return row[len(b)]
}

func lower(c byte) byte {
	if c >= 'A' && c <= 'Z' {
		return c + 'a' - 'A'
	}
	return c
}
