package scenario_test

import (
	"io/fs"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/sim/fault"
	"bathtender/sim/scenario"
	"bathtender/testdata"
)

const good = `about = "A gentle clean."
machine = "../machines/slide-tank.toml"
recipe = "../recipes/gentle.toml"

[[event]]
at = "10 s"
request = "start"

[[event]]
in = "clean"
fault = "fan stalled"
fan = 2

[[expect]]
after = "fan stalled, fan 2"
within = "5 s"
off = "emission"

[bounds]
trips = 1
`

// wrong are texts of the good scenario and what takes their places, with all that
// is then said. A sentence names the file, the line, the column, the value and
// what is allowed.
var wrong = []struct{ text, instead, said string }{
	{`about = "A gentle clean."
`, ``,
		`scenarios/bad.toml:1:1: about is missing in the file, allowed is text of 1 to 400 characters`},
	{`machine = "../machines/slide-tank.toml"
`, ``,
		`scenarios/bad.toml:1:1: machine is missing in the file, allowed is text of 1 to 400 characters`},
	{`machines/slide-tank`, `machines/none`,
		`scenarios/bad.toml:2:11: machine "machines/none.toml" cannot be read: file does not exist`},
	{`recipes/gentle`, `recipes/none`,
		`scenarios/bad.toml:3:10: recipe "recipes/none.toml" cannot be read: file does not exist`},
	{`recipe = "../recipes/gentle.toml"`, `recipe = "../recipes/gentle.toml"
seed = -1`,
		`scenarios/bad.toml:4:8: seed -1 in the file is not a whole number from 0 to 2147483647, allowed is as in seed = 0`},
	{`recipe = "../recipes/gentle.toml"`, `recipe = "../recipes/gentle.toml"
length = "3 parsec"`,
		`scenarios/bad.toml:4:10: length in the file: time "3 parsec" has the unknown unit "parsec", allowed are ms, s, min and h, as in "1.5 h"`},
	{`recipe = "../recipes/gentle.toml"`, `recipe = "../recipes/gentle.toml"
[world]
bath = "120 degC"`,
		`scenarios/bad.toml:5:8: bath "120 degC" in [world] is out of range, allowed are 1 °C to 95 °C`},
	{`recipe = "../recipes/gentle.toml"`, `recipe = "../recipes/gentle.toml"
[world]
lid = "no"`,
		`scenarios/bad.toml:5:7: lid "no" in [world] is not a yes or no, allowed are true and false, without quotes`},
	{`recipe = "../recipes/gentle.toml"`, `recipe = "../recipes/gentle.toml"
[world]
roof = "25 degC"`,
		`scenarios/bad.toml:5:1: key "roof" in [world] is not known, the nearest allowed key is "room"`},
	{`at = "10 s"
`, ``,
		`scenarios/bad.toml:5:1: [[event]] 1 has neither at nor in, allowed is a time, a phase, or both`},
	{`at = "10 s"`, `at = 10`,
		`scenarios/bad.toml:6:6: at 10 in [[event]] 1 has no unit or no quotes, allowed is a time as in "1.5 h"`},
	{`request = "start"
`, ``,
		`scenarios/bad.toml:6:6: [[event]] 1 has 0 of fault, request, stall and restart, allowed is one`},
	{`request = "start"`, `request = "start"
stall = "1 s"`,
		`scenarios/bad.toml:6:6: [[event]] 1 has 2 of fault, request, stall and restart, allowed is one`},
	{`request = "start"`, `request = "begin"`,
		`scenarios/bad.toml:7:11: request "begin" in [[event]] 1 is not known, allowed are "start", "stop" and "reset"`},
	{`request = "start"`, `stall = "1 s"
for = "2 s"`,
		`scenarios/bad.toml:8:7: for in [[event]] 1 says how long a fault or a request lasts, allowed is none with stall and restart`},
	{`request = "start"`, `restart = "0 s"`,
		`scenarios/bad.toml:7:11: restart "0 s" in [[event]] 1 is out of range, allowed are 1 ms to 1440 h`},
	{`in = "clean"`, `in = "rinse"`,
		`scenarios/bad.toml:10:6: in "rinse" in [[event]] 2 is not known, allowed are "idle", "purge", "preheat", "degas", "clean", "turn-over" and "run-on"`},
	{`fan stalled"
fan`, `fan staled"
fan`,
		`scenarios/bad.toml:11:9: fault "fan staled" in [[event]] 2 is not in the catalogue, did you mean "fan stalled"?; allowed are ` + strings.Join(fault.Names(), ", ")},
	{`fan = 2
`, ``,
		`scenarios/bad.toml:9:1: fan is missing in [[event]] 2, allowed is a whole number from 1 to 2`},
	{`fan = 2`, `fan = 3`,
		`scenarios/bad.toml:12:7: fan 3 in [[event]] 2 is not a whole number from 1 to 2, allowed is as in fan = 1`},
	{`fan = 2`, `bank = 2`,
		`scenarios/bad.toml:9:1: fan is missing in [[event]] 2, allowed is a whole number from 1 to 2
scenarios/bad.toml:12:1: key "bank" in [[event]] 2 is not known, the nearest allowed key is "fan"`},
	{`"fan stalled"
fan = 2`, `"bank dead"
bank = 7`,
		`scenarios/bad.toml:12:8: bank 7 in [[event]] 2 is not a whole number from 1 to 6, allowed is as in bank = 1`},
	{`"fan stalled"
fan = 2`, `"probe open"
probe = "bath C"`,
		`scenarios/bad.toml:12:9: probe "bath C" in [[event]] 2 is not known, allowed are "bath A", "bath B" and "cabinet"`},
	{`"fan stalled"
fan = 2`, `"fan slow"
fan = 2
amount = "much"`,
		`scenarios/bad.toml:13:10: amount in [[event]] 2: share "much" does not start with a number, allowed is a number with a unit, as in "75 %"`},
	{`"fan stalled"
fan = 2`, `"fan slow"
fan = 2
amount = "120 %"`,
		`scenarios/bad.toml:13:10: amount "120 %" in [[event]] 2 is out of range, allowed are 0 % to 100 %`},
	{`"fan stalled"
fan = 2`, `"leak"
amount = "2 l"`,
		`scenarios/bad.toml:12:10: amount in [[event]] 2: rate "2 l" is not a volume a minute, allowed is as in "2 l/min"`},
	{`"fan stalled"
fan = 2`, `"emitters dead"
bank = 1
amount = "one"`,
		`scenarios/bad.toml:13:10: amount in [[event]] 2: number "one" is not a whole number, allowed is as in "1"`},
	{`fan = 2`, `fan = 2
amount = "1"`,
		`scenarios/bad.toml:13:1: key "amount" in [[event]] 2 is not known, allowed are at, fan, fault, for, in, request, restart and stall`},
	{`after = "fan stalled, fan 2"`, `after = "fan stalled, fan 1"`,
		`scenarios/bad.toml:15:9: after "fan stalled, fan 1" in [[expect]] 1 is no event of this scenario, allowed are "start", "fan stalled, fan 2"`},
	{`within = "5 s"
`, ``,
		`scenarios/bad.toml:14:1: within is missing in [[expect]] 1, allowed is a time from 0 s to 1440 h`},
	{`off = "emission"
`, ``,
		`scenarios/bad.toml:16:10: [[expect]] 1 expects nothing, allowed is any of says, first_out, phase, on and off`},
	{`off = "emission"`, `off = "emission, pump"`,
		`scenarios/bad.toml:17:7: off "emission, pump" in [[expect]] 1 has the unknown "pump", allowed are contactor, heater, emission, fans, sounder, with commas between them`},
	{`off = "emission"`, `off = "emission,"`,
		`scenarios/bad.toml:17:7: off "emission," in [[expect]] 1 has the unknown "", allowed are contactor, heater, emission, fans, sounder, with commas between them`},
	{`off = "emission"`, `phase = "over"`,
		`scenarios/bad.toml:17:9: phase "over" in [[expect]] 1 is not known, allowed are "idle", "purge", "preheat", "degas", "clean", "turn-over" and "run-on"`},
	{`trips = 1`, `trips = "one"`,
		`scenarios/bad.toml:20:9: trips "one" in [bounds] is not a whole number from 0 to 1000, allowed is as in trips = 0`},
	{`trips = 1`, `winding = "130 K"`,
		`scenarios/bad.toml:20:11: winding "130 K" in [bounds] is out of range, allowed are 0 °C to 1000 °C`},
	{`trips = 1`, `trip = 1`,
		`scenarios/bad.toml:20:1: key "trip" in [bounds] is not known, the nearest allowed key is "trips"`},
	{`[bounds]`, `[[bounds]]`,
		`scenarios/bad.toml:19:1: "bounds" is no single table, allowed is one under the header [bounds]`},
}

// reading reads one scenario from a text, and all else from testdata.
func reading(text string) (*scenario.Scenario, error) {
	const name = "scenarios/bad.toml"
	return scenario.LoadFrom(func(asked string) ([]byte, error) {
		if asked == name {
			return []byte(text), nil
		}
		if !fs.ValidPath(asked) {
			return nil, fs.ErrNotExist
		}
		return testdata.FS.ReadFile(asked)
	}, name)
}

func TestABadScenarioIsToldInOneSentenceForEachMistake(t *testing.T) {
	_, err := reading(good)
	require.NoError(t, err)
	for _, c := range wrong {
		require.Equal(t, 1, strings.Count(good, c.text), "%s", c.text)
		_, err := reading(strings.Replace(good, c.text, c.instead, 1))
		if assert.Error(t, err, "%s", c.instead) {
			assert.Equal(t, c.said, err.Error())
		}
	}
}

// Mistakes in several places are told at once, in their order.
func TestAllMistakesAreToldAtOnce(t *testing.T) {
	text := strings.NewReplacer(`about = "A gentle clean."`, `seed = "x"`, `fan = 2`, `fan = 9`, `trips = 1`, `plates = 1`).Replace(good)
	_, err := reading(text)
	require.Error(t, err)
	assert.Equal(t, 4, strings.Count(err.Error(), "\n")+1, "%s", err)
	assert.Regexp(t, `(?s)bad\.toml:1:1: about is missing.*bad\.toml:1:8: seed .*bad\.toml:12:7: fan 9 .*bad\.toml:20:1: key "plates"`, err.Error())
}

// What is wrong with the machine or the recipe is told with their own places.
func TestAMistakeInTheRecipeIsToldWithItsPlace(t *testing.T) {
	_, err := scenario.LoadFrom(func(asked string) ([]byte, error) {
		switch asked {
		case "scenarios/good.toml":
			return []byte(good), nil
		case "recipes/gentle.toml":
			return []byte("name = \"gentle\"\nlimit = \"48 degC\"\nclean = \"4 m\"\n"), nil
		}
		return testdata.FS.ReadFile(asked)
	}, "scenarios/good.toml")
	require.Error(t, err)
	assert.Regexp(t, `^recipes/gentle\.toml:3:9: clean .*unknown unit "m"`, err.Error())
}

func TestAMissingScenarioIsSaid(t *testing.T) {
	_, err := scenario.LoadFrom(testdata.FS.ReadFile, "scenarios/none.toml")
	assert.EqualError(t, err, `scenario "scenarios/none.toml" cannot be read: file does not exist`)
}
