package scenario_test

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What a scenario expects must be able to fail. Fan 2 stalls at 0:00:23.8 in this
// one, and its trip comes 1.6 s later.
const stalls = `about = "A fan stalls when the clean begins."
machine = "../machines/slide-tank.toml"
recipe = "../recipes/gentle.toml"
seed = 3

[world]
bath = "41 degC"

[[event]]
at = "10 s"
request = "start"

[[event]]
in = "clean"
fault = "fan stalled"
fan = 2

`

var judged = []struct{ expects, failure string }{
	{`within = "3 s"
off = "emission"
stays = "20 s"`, ""},
	{`within = "3 s"
on = "fans"
says = "fan 2 at *: emission stopped"`, ""},
	{`within = "1 s"
off = "emission"`, `expected emission off within 1 s after "fan stalled, fan 2", but the emission is on after 1 s`},
	{`within = "3 s"
off = "fans"`, `expected fans off within 3 s after "fan stalled, fan 2", but the fans are on after 3 s`},
	{`within = "3 s"
on = "heater"`, `expected heater on within 3 s after "fan stalled, fan 2", but the heater is off after 3 s`},
	{`within = "1 s"
on = "contactor"
stays = "5 s"`, `expected contactor on for 5 s within 1 s after "fan stalled, fan 2", but the contactor is off only # s after it was met`},
	{`within = "3 s"
phase = "clean"
stays = "3 s"`, `expected phase clean for 3 s within 3 s after "fan stalled, fan 2", but the phase is run-on, not clean, only # s after it was met`},
	{`within = "3 s"
first_out = "airflow lost (fan 1)"`, `expected first-out airflow lost (fan 1) within 3 s after "fan stalled, fan 2", but the first-out is airflow lost (fan 2), not airflow lost (fan 1), after 3 s`},
	{`within = "3 s"
says = "fan 1 *"`, `expected the sentence "fan 1 *" within 3 s after "fan stalled, fan 2", but nobody has said "fan 1 *" after 3 s`},
	// A sentence said before the event does not count.
	{`within = "3 s"
says = "session of * begins"`, `expected the sentence "session of * begins" within 3 s after "fan stalled, fan 2", but nobody has said "session of * begins" after 3 s`},
	// A pattern is for the whole sentence, and its dots are dots.
	{`within = "3 s"
says = "fan 2 at"`, `expected the sentence "fan 2 at" within 3 s after "fan stalled, fan 2", but nobody has said "fan 2 at" after 3 s`},
	{`within = "3 s"
says = "fan 2 at * for 1.. s: emission stopped"`, `expected the sentence "fan 2 at * for 1.. s: emission stopped" within 3 s after "fan stalled, fan 2", but nobody has said "fan 2 at * for 1.. s: emission stopped" after 3 s`},
}

// tenths are times that a change of the model may move.
var tenths = regexp.MustCompile(`\d+\.\d s`)

func TestExpectationsFailWithWhatWasFound(t *testing.T) {
	for _, c := range judged {
		sc, err := reading(stalls + "[[expect]]\nafter = \"fan stalled, fan 2\"\n" + c.expects)
		require.NoError(t, err)
		result, err := sc.Run()
		require.NoError(t, err)
		if c.failure == "" {
			assert.Empty(t, result.Failures, "%s", c.expects)
			continue
		}
		if assert.Len(t, result.Failures, 1, "%s", c.expects) {
			assert.Equal(t, "scenarios/bad.toml:18:1: "+c.failure, tenths.ReplaceAllString(result.Failures[0], "# s"))
		}
	}
}

func TestBoundsFailWithWhatWasFound(t *testing.T) {
	sc, err := reading(stalls + "[bounds]\nbath = \"40 degC\"\nplate = \"100 degC\"\njoint = \"39 degC\"\nwinding = \"19 degC\"\ncabinet = \"19 degC\"\ntrips = 2\n")
	require.NoError(t, err)
	result, err := sc.Run()
	require.NoError(t, err)
	require.Len(t, result.Failures, 5)
	for i, want := range []string{
		`the bath got to \S+ °C, over its 40 °C bound`,
		`the driver windings got to \S+ °C, over its 19 °C bound`,
		`the bonded joints got to \S+ °C, over its 39 °C bound`,
		`the cabinet's air got to \S+ °C, over its 19 °C bound`,
		`it came to 1 trip, expected 2`,
	} {
		assert.Regexp(t, "^scenarios/bad.toml: "+want+"$", result.Failures[i])
	}
}

// An expectation after an event that never came has failed, not passed.
func TestAnExpectationThatNeverBeganHasFailed(t *testing.T) {
	text := strings.Replace(stalls, `in = "clean"`, `in = "turn-over"`, 1)
	sc, err := reading(text + "[[expect]]\nafter = \"fan stalled, fan 2\"\nwithin = \"3 s\"\noff = \"emission\"\n")
	require.NoError(t, err)
	result, err := sc.Run()
	require.NoError(t, err)
	assert.Equal(t, []string{`scenarios/bad.toml:18:1: expected emission off within 3 s after "fan stalled, fan 2", but the run was over before`}, result.Failures)
}
