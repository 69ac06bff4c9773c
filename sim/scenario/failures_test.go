package scenario_test

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/sim/drive"
	"bathtender/sim/scenario"
)

var update = flag.Bool("update", false, "write the generated page anew; read the difference before you keep it")

const failuresPage = "../../docs/failures.md"

const failuresHead = `# What fails, what is said about it, and how soon

This page is made by running the scenarios of testdata/scenarios; a test compares
the two. To bring it up to date: ` + "`go test ./sim/scenario -run TestFailuresPage -update`" + `.

The times are from the failure to the first thing that is said about it, in the
modelled cabinet with the scenario's seed. The heater's plate is the hottest that
it got in truth, up to the end of the scenario.

| what fails | what is said first | after | heater plate |
|---|---|---|---|
`

// TestFailuresPage runs every scenario in which something fails, and holds
// docs/failures.md against what came of it.
func TestFailuresPage(t *testing.T) {
	var page strings.Builder
	page.WriteString(failuresHead)
	for _, name := range names(t) {
		sc := load(t, name)
		if what, said, after, plate, ok := firstSaid(t, sc); ok {
			file := strings.TrimSuffix(strings.TrimPrefix(name, "scenarios/"), ".toml")
			fmt.Fprintf(&page, "| %s ([%s](../testdata/%s)) | %s | %.1f s | %.0f °C |\n", what, file, name, said, after.Seconds(), plate-273.15)
		}
	}
	if *update {
		require.NoError(t, os.WriteFile(failuresPage, []byte(page.String()), 0o644))
	}
	kept, err := os.ReadFile(failuresPage)
	require.NoError(t, err)
	assert.Equal(t, string(kept), page.String(), "bring it up to date with -update, and read the difference")
}

// firstSaid plays a scenario and returns the first thing that happens to the
// cabinet beside requests, and the first that is said about it.
func firstSaid(t *testing.T, sc *scenario.Scenario) (what, said string, after time.Duration, plate float64, ok bool) {
	var since time.Duration
	started := false
	result, err := sc.Run(func(_ *drive.Session, lines []scenario.Line) error {
		for _, l := range lines {
			refused := strings.Contains(l.Text, "refused")
			switch {
			case l.Severity == scenario.World && !strings.HasPrefix(l.Text, "asked to") && what == "":
				what, since = l.Text, l.At
			case l.Severity == scenario.World && strings.HasPrefix(l.Text, "asked to start") && !started:
				// What was wrong before the start can only be seen after it.
				started = true
				if what != "" {
					since = l.At
				}
			case what != "" && said == "" && (l.Severity > scenario.World || refused):
				said, after = l.Text, l.At-since
			}
		}
		return nil
	})
	require.NoError(t, err)
	return what, said, after, result.Worst.Plate, what != "" && said != ""
}
