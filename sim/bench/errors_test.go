package bench

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What is wrong with a statement is told in one sentence: where, what, the value,
// what is allowed.
var wrongStatements = []struct{ text, want string }{
	{"sett bath 1", `1:1: there is no statement "sett", did you mean set? allowed are set, ramp, follow, start, stop, reset, hold, wait, late, restart, expect, show, explain, help, history, quit and use`},
	{`  "set" bath`, `1:3: there is no statement "set"`},
	{"show me", `1:6: "me" is one word too many, allowed is the end of the statement`},
	{"set", `1:4: the statement ends where a reading is needed, allowed are bath, cabinet, fan, `},
	{"set fna 2", `1:5: there is no reading "fna", did you mean fan? allowed are bath, cabinet, `},
	{"set fan", `1:8: the statement ends where the number of a fan is needed, allowed are 1 and 2`},
	{"set fan 3 1 rpm", `1:9: fan "3" does not exist: this machine has 1 to 2`},
	{"set bank zero 1 W", `1:10: bank "zero" does not exist: this machine has 1 to 6`},
	{"set bath", `1:9: bath a needs a value, allowed is one as in "45 degC"`},
	{"set bath a 45", `1:12: temperature "45" has no unit, allowed are degC, °C, degF, °F and K, as in "45 degC"`},
	{"set bath a 45 W", `1:12: temperature "45 W" has the unknown unit "W", allowed are degC,`},
	{"set bath a 45,5 degC", `1:12: temperature "45,5 degC" has a comma where a decimal point is needed, allowed is a number with a unit, as in "45 degC"`},
	{"set bath a 900 degC", `1:12: bath a cannot read "900 degC", allowed is -55 °C to 125 °C`},
	{"set fan 1 -1 rpm", `1:11: fan 1 cannot read "-1 rpm", allowed is 0 rpm to 100000 rpm`},
	{"set mains 2000 V", `1:11: mains cannot read "2000 V", allowed is -1000 V to 1000 V`},
	{"set watts 60 kW", `1:11: watts cannot read "60 kW", allowed is -50 kW to 50 kW`},
	{"set heater -1 W", `1:12: heater cannot take "-1 W", allowed is 0 W to 20 kW`},
	{"set heater nothing", `1:12: power "nothing" does not start with a number, allowed is a number with a unit, as in "1000 W"`},
	{"set bank 2 40 W old 1 s", `1:17: bank 2 is a load and has no age, allowed is the end of the statement`},
	{"set bath a 45 degC old", `1:23: the age needs a time, allowed is one as in "2 s"`},
	{"set bath a 45 degC old -1 s", `1:24: the age cannot be "-1 s", allowed is 0 s to 24 h`},
	{"set bath a 45 degC, fan 1 3 rpm", `1:19: "," is one word too many, allowed is the end of the statement`},
	{"set lid opened", `1:9: there is no state "opened", did you mean open? allowed are open, closed and absent`},
	{"set journal", `1:12: the statement ends where a state is needed, allowed are good and bad`},
	{"ramp lid to open in 1 s", `1:6: lid has no value to be ramped, allowed are the readings that are numbers, and the loads`},
	{"ramp fan 2 0 rpm", `1:12: "0" stands where "to" is needed`},
	{"ramp fan 2 to 0 rpm", `1:20: the statement ends where "in" is needed`},
	{"ramp fan 2 to 0 rpm in 0 s", `1:24: the ramp cannot be "0 s", allowed is 1 ms to 24 h`},
	{"follow bath a", `1:8: bath a has nothing to follow, since there is no tank on the bench; allowed are set and ramp`},
	{"follow mains at 0 V", `1:17: the mains to follow cannot be "0 V", allowed is more than 0 V`},
	{"follow fan 1 at 3 rpm", `1:14: "at" is one word too many, allowed is the end of the statement`},
	{"start", `1:6: start needs a recipe, allowed are degas, foil-test, gentle and heavy`},
	{"start hevy", `1:7: there is no recipe "hevy", did you mean heavy? allowed are degas, foil-test, gentle and heavy`},
	{"hold", `1:5: the statement ends where a button is needed, allowed are start, stop and reset`},
	{"hold reset 2 s", `1:12: "2" stands where "for" is needed`},
	{"wait", `1:5: wait needs a time, allowed is one as in "2 s"`},
	{"wait 2", `1:6: time "2" has no unit, allowed are ms, s, min and h, as in "1.5 h"`},
	{"wait 25 h", `1:6: wait cannot be "25 h", allowed is 1 ms to 24 h`},
	{"wait until", `1:11: the statement ends where what is expected is needed, allowed are contactor, fans, `},
	{"wait until no trip within", `1:26: within needs a time, allowed is one as in "2 s"`},
	{"late 2 h", `1:6: late cannot be "2 h", allowed is 1 ms to 1 h`},
	{"restart now", `1:9: "now" is one word too many, allowed is the end of the statement`},
	{"expect heater of", `1:15: there is no state "of", did you mean on? allowed are on and off`},
	{"expect watchdog on", `1:17: there is no state "on", allowed are fed and unfed`},
	{"expect heat off", `1:8: there is no expectation "heat", did you mean heater? allowed are contactor, `},
	{"expect heater off,", `1:19: the statement ends where what is expected is needed`},
	{"expect permit sounder given", `1:15: there is no permit "sounder", allowed are contactor, heater, emission, start and bank`},
	{"expect phase cleen", `1:14: there is no phase "cleen", did you mean clean? allowed are idle, purge, preheat, degas, clean, turn-over and run-on`},
	{"expect tripped stop", `1:16: a protective function is needed here, in quotes as in "airflow lost"`},
	{`expect tripped "airflw lost"`, `1:16: there is no protective function "airflw lost", did you mean airflow lost? allowed are stop, loop late, `},
	{`expect tripped "stop" fan 1`, `1:23: "fan" is one word too many, allowed is the end of the statement`},
	{`expect tripped "probe fault" bath c`, `1:35: there is no bath probe "c", did you mean a? allowed are a and b`},
	{"expect no trips", `1:11: there is no expectation "trips", did you mean trip? allowed are trip, hold and first-out`},
	{"expect said nothing", `1:13: said needs a sentence in quotes, as in said "fan 2 at *"`},
	{`expect delay "airflow lost" at 1 s`, `1:14: "airflow lost" has a delay for each of its places, allowed is one of them, as in "airflow lost" fan 2`},
	{`expect delay "leak"`, `1:20: the statement ends where "at" is needed`},
	{`expect tripped "leak`, `1:16: the quote has no end, allowed is a text between two, as in "airflow lost"`},
	{`expect tripped "leak"x`, `1:22: "x" stands right after a quote, allowed is a blank or a comma`},
	{"help me", `1:6: there is no statement "me", did you mean set? allowed are `},
	{"use", `1:4: the statement ends where a file is needed, allowed are machine and recipe`},
	{"use machine tank.toml", `1:13: use machine needs the path of a file in quotes, as in use machine "tank.toml"`},
	{"set bath\xff 1", `1:1: the line is not UTF-8, allowed is text in UTF-8`},
	{strings.Repeat("x", 1001), `1:1001: the line has 1001 characters, allowed are up to 1000`},
	{"wait 1 s\nuse machine \"x\"", `2:1: use comes too late, allowed is a place before every other statement`},
	{"use machine \"x\"\nuse machine \"y\"", `2:1: there is a machine file already, "x", allowed is one`},
}

func TestWhatIsWrongIsToldInOneSentence(t *testing.T) {
	for _, c := range wrongStatements {
		_, err := ReadScript(&Source{Name: "s.txt", Load: load}, c.text)
		require.Error(t, err, "%q", c.text)
		first, _, _ := strings.Cut(err.Error(), "\n")
		want := "s.txt:" + c.want
		assert.True(t, strings.HasPrefix(first, want), "%q\n gives %s\n not   %s", c.text, first, want)
	}
}

// All that is wrong with a script is told at once, and nothing of it is done.
func TestAllProblemsAreToldAtOnce(t *testing.T) {
	_, err := ReadScript(&Source{Name: "s.txt", Load: load}, "wait 1\n# fine\nwait 1 s\n\nstrt gentle\n")
	require.Error(t, err)
	assert.Regexp(t, `^s\.txt:1:6: .*\ns\.txt:5:1: [^\n]*$`, err.Error())

	_, err = ReadScript(&Source{Name: "s.txt", Load: load}, strings.Repeat("?\n", 100))
	require.Error(t, err)
	lines := strings.Split(err.Error(), "\n")
	assert.Len(t, lines, problemsMost+1)
	assert.Equal(t, "s.txt: 80 more statements are wrong", lines[problemsMost])
}

// A reading of a machine that does not have it.
func TestWhatIsNotFittedCannotBeSet(t *testing.T) {
	c, err := load("", nil)
	require.NoError(t, err)
	m := *c.Machine
	m.Probes[1].Fitted, m.Probes[2].Fitted = false, false
	m.Contacts.Lid, m.Contacts.Float, m.Contacts.Leak, m.Contacts.Aux = false, false, false, false
	m.Meter.Volts, m.Heater.Power = false, 0
	c.Machine = &m
	bare := func(string, []string) (Cabinet, error) { return c, nil }
	for text, want := range map[string]string{
		"set bath b 4 degC":     "bath probe B has nothing to be set: this machine has none",
		"set cabinet 4 degC":    "cabinet has nothing to be set: this machine has no cabinet probe",
		"set lid open":          "lid has nothing to be set: this machine has no lid switch",
		"set level open":        "level has nothing to be set: this machine has no float switch",
		"set leak open":         "leak has nothing to be set: this machine has no leak sensor",
		"set contactor open":    "contactor has nothing to be set: this machine has no auxiliary contact on its contactor",
		"follow mains":          "mains has nothing to be set: this machine has no meter that reports volts",
		"set heater 1 W":        "heater has nothing to be set: this machine has no heater",
		"ramp bath b to 4 degC": "bath probe B has nothing to be set: this machine has none",
	} {
		_, err := ReadScript(&Source{Name: "s", Load: bare}, text)
		if assert.Error(t, err, text) {
			assert.Contains(t, err.Error(), want)
		}
	}
	// What is left is set together: the bath is one probe.
	script, err := ReadScript(&Source{Name: "s", Load: bare}, "set bath 40 degC\nwait 1 s\nshow")
	require.NoError(t, err)
	b := New(script.Cabinet)
	require.NoError(t, script.Run(&Session{Bench: b, Out: &strings.Builder{}}, nil))
	assert.False(t, b.Snapshot.Probes[1].Valid)
	assert.True(t, b.Snapshot.Probes[0].Valid)
}

// What was expected in vain says where, what, and what was instead.
func TestWhatWasExpectedInVainIsToldWithWhatWasInstead(t *testing.T) {
	p := play(t, "s.txt", `set bath 41 degC
start gentle
expect heater on, phase idle, emission off, fans off
expect permit start given, permit bank 2 withheld
expect tripped "stop", held "lid open", not no trip
set fan 1 0 rpm
wait until phase clean within 3 s
expect delay "airflow not proven" fan 1 at 1 s
set stop open
set leak open
wait 2 s
expect no trip, first-out "leak", no first-out, not said "the stop loop*"
expect said "it rains"
wait 1 s
expect said "it rains"
set lid open
wait 1 s
expect no hold, watchdog unfed
set bath nothing
ramp bath a to 40 degC in 1 s
`, nil)
	assert.Equal(t, []string{
		`s.txt:3:8: expected heater on, but the heater is off`,
		`s.txt:3:19: expected phase idle, but the phase is purge`,
		`s.txt:3:45: expected fans off, but the fans are on`,
		`s.txt:4:8: expected permit start given, but the permit is withheld`,
		`s.txt:4:28: expected permit bank 2 withheld, but the permit is given`,
		`s.txt:5:8: expected tripped "stop", but nothing has tripped`,
		`s.txt:5:24: expected held "lid open", but nothing is held`,
		`s.txt:5:41: expected not no trip, but nothing has tripped`,
		`s.txt:7:1: waited 3 s for phase clean, but the phase is purge`,
		`s.txt:8:8: expected the delay of "airflow not proven" fan 1 at 1 s, but it is at 3.1 s of 8 s`,
		`s.txt:12:8: expected no trip, but tripped is "stop", "leak"`,
		`s.txt:12:17: expected first-out "leak", but the first-out is "stop"`,
		`s.txt:12:35: expected no first-out, but the first-out is "stop"`,
		`s.txt:12:49: expected not said "the stop loop*", but it was said`,
	}, p.failures[:14])
	assert.Regexp(t, `^s\.txt:13:8: expected said "it rains", but this was said: "the stop loop is open or broken: contactor opened", "session of [^,]*, .* and 1 more$`, p.failures[14])
	assert.Equal(t, []string{
		`s.txt:15:8: expected said "it rains", but nothing was said`,
		`s.txt:18:8: expected no hold, but held is "lid open"`,
		`s.txt:18:17: expected watchdog unfed, but the watchdog is fed`,
		`s.txt:20:1: bath a gives no reading that a ramp could begin from, allowed is a ramp after it has been set`,
	}, p.failures[15:])
}
