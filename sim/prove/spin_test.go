package prove

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// spinDefects are the defects that testdata/rules.pml can be given, each with a
// part of the assertion that it must break, as SPIN writes it.
var spinDefects = []struct{ macro, breaks string }{
	{"MUST_BE_REACHED", "bank&&(side==1)"},
	{"ABSENT_TURNS", "noAir<2"},
	{"DELAY_LONGER", "owedLevel"},
	{"LID_IGNORED", "lidUp"},
	{"STOP_LATE", "stopOpen"},
	{"STOP_UNHEARD", "verb!=2"},
	{"HELD_START", "pressedNow"},
	{"START_BEFORE", "pressedNow"},
	{"TURN_GOES_ON", "pressedM"},
	{"RESET_HELD", "tLevel"},
	{"RESET_BLIND", "releasedM"},
	{"FANS_OFF", "sinceEnd>=2"},
	{"RUNON_SHORT", "sinceEnd>=2"},
	{"ON_AT_FIRST", "begunM||"},
	{"GOES_ON", "pressedNow"},
	{"LOCKOUT_LOST", "tHot"},
	{"FIRST_IS_LAST", "first==firstM"},
	{"ALWAYS_FED", "fed=="},
	{"HEATER_FIRST", "contactor"},
	{"LATE_FORGIVEN", "tLate"},
	{"START_ANYWAY", "owedHot"},
}

// TestSpinHoldsTheSameRules has an independent program, SPIN (Holzmann, The SPIN
// Model Checker, 2003), search an independent telling of the rules to its end.
func TestSpinHoldsTheSameRules(t *testing.T) {
	needSpin(t)
	text := spin(t, "")
	assert.Regexp(t, `errors: 0\b`, text)
	assert.NotContains(t, text, "max search depth too small")
	states := regexp.MustCompile(`(\d+) states, stored`).FindStringSubmatch(text)
	require.NotNil(t, states, text)
	n, err := strconv.Atoi(states[1])
	require.NoError(t, err)
	assert.Greater(t, n, 50_000)
}

// TestSpinFindsEachDefect sees that the assertions can fail, and the right ones.
func TestSpinFindsEachDefect(t *testing.T) {
	needSpin(t)
	model, err := os.ReadFile("testdata/rules.pml")
	require.NoError(t, err)
	named := regexp.MustCompile(`(?m)^#if(?:n?)def (\w+)`).FindAllStringSubmatch(string(model), -1)
	have := map[string]bool{}
	for _, d := range spinDefects {
		have[d.macro] = true
	}
	for _, m := range named {
		assert.True(t, have[m[1]], "defect %s of the model is not tried", m[1])
	}
	for _, d := range spinDefects {
		t.Run(d.macro, func(t *testing.T) {
			t.Parallel()
			text := spin(t, d.macro)
			said := regexp.MustCompile(`assertion violated (.*)`).FindStringSubmatch(text)
			require.NotNil(t, said, "nothing was broken:\n%s", text)
			assert.Contains(t, said[1], d.breaks)
		})
	}
}

func needSpin(t *testing.T) {
	if testing.Short() {
		t.Skip("spin and a C compiler take long")
	}
	for _, name := range []string{"spin", "gcc"} {
		if _, err := exec.LookPath(name); err != nil {
			if os.Getenv("BATHTENDER_CI") == "1" {
				t.Fatalf("%s is not installed", name)
			}
			t.Skipf("%s is not installed (Debian packages spin, gcc)", name)
		}
	}
}

// spin translates the model with one of its macros, compiles and runs it, and
// returns what it printed.
func spin(t *testing.T, macro string) string {
	t.Helper()
	model, err := filepath.Abs("testdata/rules.pml")
	require.NoError(t, err)
	folder := t.TempDir()
	run := func(name string, args ...string) string {
		cmd := exec.Command(name, args...)
		cmd.Dir = folder
		out, err := cmd.CombinedOutput()
		require.NoError(t, err, "%s:\n%s", name, out)
		return string(out)
	}
	translate, optimise := []string{"-a", model}, "-O2"
	if macro != "" {
		translate, optimise = []string{"-a", "-D" + macro, model}, "-O0" // soon broken
	}
	run("spin", translate...)
	run("gcc", optimise, "-DSAFETY", "-DNOREDUCE", "-o", "pan", "pan.c")
	return run(filepath.Join(folder, "pan"), "-m1000000", "-w20")
}
