package prooftest

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/machine"
	"bathtender/interlock"
	"bathtender/testdata"
)

// demo returns the demo tank without its wiring, with lines of its file replaced.
func demo(t testing.TB, replace ...string) *machine.Machine {
	t.Helper()
	data, err := testdata.FS.ReadFile("machines/slide-tank.toml")
	require.NoError(t, err)
	text, _, _ := strings.Cut(string(data), "[[wiring]]") // a machine that is only simulated
	text = strings.NewReplacer(replace...).Replace(text)
	m, err := machine.Parse("tank.toml", []byte(text))
	require.NoError(t, err)
	return m
}

// Every function of the table has its step, or is not fitted: a function that is added
// to the table and forgotten here fails.
func TestThePlanKnowsEveryFunction(t *testing.T) {
	steps := map[interlock.Function]int{}
	for _, s := range Plan(demo(t)) {
		steps[s.Function]++
		assert.NotEqual(t, s.Do == "", s.Otherwise == "", "%s: either by hand or otherwise", s.Name())
		if s.ByHand() {
			assert.NotNil(t, s.Stands, s.Name())
			assert.NotEmpty(t, s.PutRight, s.Name())
		}
	}
	for f := range interlock.FunctionCount {
		want := 1
		switch {
		case interlock.Table[f].Scope == interlock.EachFan:
			want = 2
		case interlock.Table[f].Scope == interlock.EachProbe:
			want = 3
		case interlock.Table[f].Scope == interlock.EachBank:
			want = 6
		case f == interlock.StopPressed:
			want = 2 // the buttons, and the thermal switches
		}
		assert.Equal(t, want, steps[f], f.Name())
	}
}

func TestWhatIsNotFittedHasNoStep(t *testing.T) {
	count := func(m *machine.Machine, f interlock.Function) (n int) {
		for _, s := range Plan(m) {
			if s.Function == f {
				n++
			}
		}
		return n
	}
	none := demo(t, "\nfloat = true", "\nfloat = false", "\nlid = true\nleak = true\naux = true", "\nlid = false\nleak = false\naux = false",
		"heat_switches = true", "heat_switches = false", "[heater]\n", "", `power = "1000 W"`, "")
	for _, f := range []interlock.Function{interlock.LevelLow, interlock.LidOpen, interlock.Leak, interlock.ContactorDisagrees,
		interlock.HeaterSilent, interlock.HeaterWillNotStop} {
		assert.Zero(t, count(none, f), f.Name())
	}
	assert.Equal(t, 1, count(none, interlock.StopPressed))
	for _, s := range Plan(none) {
		assert.NotEqual(t, Heating, s.State, "%s: there is no preheat without a heater", s.Name())
	}
	spare := demo(t, "# 2\nnominal = \"2600 rpm\"\nminimum = \"1500 rpm\"\npulses = 2\ndraw = \"4 W\"\nrequired = true",
		"# 2\nnominal = \"2600 rpm\"\nminimum = \"1500 rpm\"\npulses = 2\ndraw = \"4 W\"\nrequired = false")
	assert.Equal(t, 1, count(spare, interlock.AirflowLost), "only required fans")
}

// The delays are those of the machine file, not of the table.
func TestTheDelayIsThatOfTheMachineFile(t *testing.T) {
	steps, err := Choose(Plan(demo(t, `# airflow_not_proven = "6 s"`, `leak = "500 ms"`)), "leak")
	require.NoError(t, err)
	assert.Equal(t, 500*time.Millisecond, steps[0].Delay)
	assert.Equal(t, "within 0.5 s", steps[0].Soon())
}

func TestChoosing(t *testing.T) {
	all := Plan(demo(t))
	for name, want := range map[string]int{"": len(all), "leak": 1, "airflow lost": 2, "Airflow Lost, fan 2": 1, "stop": 1, "stop, heat switches": 1, "probe fault": 3, "probe fault, bath probe A": 1} {
		got, err := Choose(all, name)
		require.NoError(t, err)
		assert.Len(t, got, want, name)
	}
	_, err := Choose(all, "airflow lost, fan 3")
	assert.EqualError(t, err, `there is no protective function "airflow lost, fan 3" on this machine; did you mean "airflow lost, fan 1"?`)
	_, err = Choose(all, "xyzzy")
	assert.EqualError(t, err, `there is no protective function "xyzzy" on this machine; prooftest -list names them`)
}

// What the program says of a function is known by the function's own sentences, and no
// other function's.
func TestASentenceBelongsToOneFunction(t *testing.T) {
	for f := range interlock.FunctionCount {
		for _, w := range append(interlock.Table[f].Says, interlock.Wording{Text: interlock.Table[f].Blind}) {
			if w.Text == "" {
				continue
			}
			scope := interlock.Table[f].Scope
			text := strings.NewReplacer("{it}", scope.It(0), "{value}", "1 h 2 min", "{limit}", "1500 rpm", "{stood}", "1.0 s").Replace(w.Text) + ": emission stopped"
			for other := range interlock.FunctionCount {
				is := false
				for _, pattern := range newSaid(other, 0).sentences {
					is = is || pattern.MatchString(text)
				}
				assert.Equal(t, other == f, is, "%s, of %s: %s", other.Name(), f.Name(), text)
			}
			if scope != interlock.Whole {
				for _, pattern := range newSaid(f, 1).sentences {
					assert.False(t, pattern.MatchString(text), "of another place: %s", text)
				}
			}
		}
	}
}
