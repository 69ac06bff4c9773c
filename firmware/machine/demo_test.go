package machine

import (
	"fmt"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"bathtender/testdata"
)

const demoName = "machines/slide-tank.toml"

func demoText(t testing.TB) string {
	t.Helper()
	data, err := testdata.FS.ReadFile(demoName)
	require.NoError(t, err)
	return string(data)
}

func demo(t testing.TB) *Machine {
	t.Helper()
	m, err := Parse(demoName, []byte(demoText(t)))
	require.NoError(t, err)
	return m
}

// lineOf returns the line, from 1, of a key under a header: "[tank] fill". A
// header alone, "[tank]", gives its own line; "[[bank]] 2 draw" the second bank's.
func lineOf(t testing.TB, text, place string) int {
	t.Helper()
	if place == "1" {
		return 1
	}
	match := regexp.MustCompile(`^(\[\S+\])?\s*(\d+)?\s*(\S*)$`).FindStringSubmatch(place)
	require.NotNil(t, match, place)
	header, count, key := match[1], 1, match[3]
	if match[2] != "" {
		_, err := fmt.Sscan(match[2], &count)
		require.NoError(t, err)
	}
	inside := header == ""
	for i, line := range strings.Split(text, "\n") {
		switch {
		case header != "" && strings.HasPrefix(line, header):
			count--
			inside = count == 0
			if inside && key == "" {
				return i + 1
			}
		case strings.HasPrefix(line, "["):
			inside = false
		case inside && key != "" && strings.HasPrefix(line, key+" ="):
			return i + 1
		}
	}
	require.Fail(t, "no such place", place)
	return 0
}

// edited returns the demo file with the line at a place replaced; a place that
// ends in "+" gets the line after it.
func edited(t testing.TB, place, line string) string {
	t.Helper()
	text := demoText(t)
	lines := strings.Split(text, "\n")
	place, after := strings.CutSuffix(place, "+")
	n := lineOf(t, text, place)
	if after {
		lines[n-1] += "\n" + line
	} else {
		lines[n-1] = line
	}
	return strings.Join(lines, "\n")
}

// without returns the demo file without a table, from its header to the next.
func without(t testing.TB, header string) string {
	t.Helper()
	var kept []string
	skip := false
	for _, line := range strings.Split(demoText(t), "\n") {
		if strings.HasPrefix(line, "[") {
			skip = strings.HasPrefix(line, header)
		}
		if !skip {
			kept = append(kept, line)
		}
	}
	return strings.Join(kept, "\n")
}

// expand replaces {place} in a wanted sentence by the place's line.
func expand(t testing.TB, text, want string) string {
	t.Helper()
	return regexp.MustCompile(`\{[^}]*\}`).ReplaceAllStringFunc(want, func(place string) string {
		return fmt.Sprint(lineOf(t, text, strings.Trim(place, "{}")))
	})
}
