package page

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// luminance is the relative luminance of a colour as #rrggbb (WCAG 2.2,
// definition of relative luminance).
func luminance(t *testing.T, colour string) float64 {
	part := func(from int) float64 {
		n, err := strconv.ParseUint(colour[from:from+2], 16, 8)
		require.NoError(t, err)
		c := float64(n) / 255
		if c <= 0.04045 {
			return c / 12.92
		}
		return math.Pow((c+0.055)/1.055, 2.4)
	}
	return 0.2126*part(1) + 0.7152*part(3) + 0.0722*part(5)
}

func contrast(t *testing.T, a, b string) float64 {
	x, y := luminance(t, a), luminance(t, b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

// Text needs 4.5 to 1 against its ground (WCAG 2.2, 1.4.3), what is drawn 3 to 1
// (1.4.11).
func TestEveryPairOfColoursCanBeRead(t *testing.T) {
	assert.InDelta(t, 21, contrast(t, "#000000", "#ffffff"), 1e-9, "WCAG 2.2: black on white")
	assert.InDelta(t, 4.54, contrast(t, "#767676", "#ffffff"), 0.005, "the well-known lightest grey on white (from memory)")
	css, err := assets.ReadFile("assets/style.css")
	require.NoError(t, err)
	light, dark, ok := strings.Cut(string(css), "@media (prefers-color-scheme: dark)")
	require.True(t, ok)
	named := regexp.MustCompile(`--([a-z0-9-]+): (#[0-9a-f]{6})`)
	for scheme, text := range map[string]string{"light": light, "dark": dark} {
		colours := map[string]string{}
		for _, m := range named.FindAllStringSubmatch(text, -1) {
			colours[m[1]] = m[2]
		}
		require.Len(t, colours, 21, scheme)
		check := func(least float64, text, ground string) {
			assert.GreaterOrEqual(t, contrast(t, colours[text], colours[ground]), least, "%s: %s on %s", scheme, text, ground)
		}
		for _, text := range []string{"text", "quiet", "link", "grave", "warn", "fine"} {
			check(4.5, text, "ground")
		}
		for _, text := range []string{"text", "grave", "link"} {
			check(4.5, text, "grave-ground")
		}
		for _, text := range []string{"text", "warn"} {
			check(4.5, text, "warn-ground")
		}
		check(4.5, "fine", "fine-ground")
		for i := 1; i <= 8; i++ { // the names of curves are text
			check(4.5, "ink"+strconv.Itoa(i), "ground")
		}
		check(3, "bar", "panel")
		check(3, "quiet", "panel")
	}
}
