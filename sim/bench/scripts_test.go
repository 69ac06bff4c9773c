package bench

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"bathtender/interlock"
)

func TestTheKeptScriptsPass(t *testing.T) {
	for _, name := range scripts(t) {
		t.Run(name, func(t *testing.T) {
			p := playKept(t, name, nil)
			assert.Empty(t, p.failures)
			assert.Positive(t, p.expected, "a script that expects nothing shows nothing")
		})
	}
}

// The same script gives the same, byte by byte.
func TestAScriptIsDeterministic(t *testing.T) {
	for _, name := range []string{"bank-short-of-watts.txt", "bath-too-small.txt", "mains-out-of-range.txt"} {
		one, two := playKept(t, name, nil), playKept(t, name, nil)
		assert.Equal(t, one.text, two.text, name)
		assert.True(t, one.bench.Supervisor.Memory() == two.bench.Supervisor.Memory(), name)
		assert.Equal(t, one.bench.Snapshot, two.bench.Snapshot, name)
	}
}

// scriptOf returns the name of a function's script, without its ending.
func scriptOf(f interlock.Function) string { return strings.ReplaceAll(f.Key(), "_", "-") }

// ownScripts returns the scripts of a function: the one that has its name, and
// those whose names go on from there.
func ownScripts(t testing.TB, f interlock.Function) []string {
	var own []string
	for _, name := range scripts(t) {
		if strings.HasPrefix(name, scriptOf(f)) {
			own = append(own, name)
		}
	}
	return own
}

// Each function has a script of its name, in which it acts, which expects that it
// does, and which is the first-out where it is a trip.
func TestEveryFunctionHasAScriptInWhichItActs(t *testing.T) {
	for f := range interlock.FunctionCount {
		name := scriptOf(f) + ".txt"
		acted := false
		for who := range playKept(t, name, nil).acted {
			acted = acted || who.function == f
		}
		assert.True(t, acted, "%s: %v neither trips nor is held", name, f)
		text, word := scriptText(t, name), "tripped"
		if interlock.Table[f].Latch == interlock.Hold {
			word = "held"
		} else {
			assert.Contains(t, text, `first-out "`+f.Name()+`"`, name)
			assert.Regexp(t, `(?m)^(reset|hold reset for )`, text, name)
		}
		assert.Regexp(t, `(?m)^(expect|wait until) (.*, )?`+word+` "`+regexp.QuoteMeta(f.Name())+`"`, text, name)
		if interlock.Table[f].Takes != interlock.TakesBank { // a start does not wait for a bank
			assert.Contains(t, text, "permit start withheld", name)
		}
	}
}

// refusing are the functions whose cause can stand while a reset is let go.
// Those left out look at what only the heater, or a session, shows: their trip
// ends both, and with them the cause; their scripts show that a reset is needed
// all the same.
func refusing(f interlock.Function) bool {
	switch f {
	case interlock.BathTooSmall, interlock.HeaterSilent, interlock.OverPower:
		return false
	}
	return interlock.Table[f].Latch != interlock.Hold
}

func TestEveryScriptOfATripSeesItsResetRefused(t *testing.T) {
	for f := range interlock.FunctionCount {
		if refusing(f) {
			assert.Regexp(t, `said "`+regexp.QuoteMeta(f.Name())+`( \([^)]*\))? cannot be reset while its cause stands`, scriptText(t, scriptOf(f)+".txt"), "%v", f)
		}
	}
}
