package presence_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bathtender/firmware/presence"
	"bathtender/firmware/recipe"
	"bathtender/firmware/supervisor"
	"bathtender/hal"
)

// keys are the buttons of a cabinet under a test's fingers.
type keys struct{ start, reset bool }

func (k *keys) Buttons() (start, reset bool) { return k.start, k.reset }

func rules() presence.Rules {
	return presence.Rules{Usual: "gentle", Recipes: []string{"gentle", "heavy"}, Confirm: 30 * time.Second}
}

// desk is a desk with its buttons and a clock.
type desk struct {
	*presence.Desk
	keys
	now    time.Duration
	status supervisor.Status
}

func newDesk(r presence.Rules) *desk {
	d := &desk{}
	d.Desk = presence.New(r, &d.keys)
	d.tick() // START has been seen released
	return d
}

func (d *desk) tick() hal.Request {
	d.now += 100 * time.Millisecond
	return d.Ask(d.now, &d.status)
}

func (d *desk) send(c presence.Command) <-chan presence.Answer {
	answer := make(chan presence.Answer, 1)
	c.Answer = answer
	d.Send(c)
	return answer
}

func TestTheStartButtonAsksOnceForTheUsualRecipe(t *testing.T) {
	d := newDesk(rules())
	d.start = true
	assert.Equal(t, hal.Request{Verb: hal.Start, Recipe: "gentle"}, d.tick())
	for range 20 {
		assert.Equal(t, hal.Request{}, d.tick(), "while it is held")
	}
	d.start = false
	d.tick()
	d.start = true
	assert.Equal(t, hal.Request{Verb: hal.Start, Recipe: "gentle"}, d.tick())
}

// A button that hangs must not start a session, neither when the program starts
// nor when something else comes in between.
func TestAHeldStartButtonIsNoPress(t *testing.T) {
	d := &desk{keys: keys{start: true}}
	d.Desk = presence.New(rules(), &d.keys)
	assert.Equal(t, hal.Request{}, d.tick(), "held since before the program's start")
	d.send(presence.Command{Verb: presence.Stop})
	assert.Equal(t, hal.Stop, d.tick().Verb)
	assert.Equal(t, hal.Request{}, d.tick(), "held through a stop")
}

func TestACommandOnlySelects(t *testing.T) {
	d := newDesk(rules())
	answer := d.send(presence.Command{Verb: presence.Start, Recipe: "heavy"})
	assert.Equal(t, hal.Request{}, d.tick())
	assert.Equal(t, presence.Answer{OK: true, Text: `"heavy" is selected: press START at the cabinet within 30 s`}, <-answer)
	chosen, ok := d.Selected()
	assert.True(t, ok)
	assert.Equal(t, "heavy", chosen.Recipe)
	d.start = true
	assert.Equal(t, hal.Request{Verb: hal.Start, Recipe: "heavy"}, d.tick())
	_, ok = d.Selected()
	assert.False(t, ok, "used up")
}

func TestASelectionLapses(t *testing.T) {
	d := newDesk(rules())
	d.send(presence.Command{Verb: presence.Start, Recipe: "heavy"})
	d.tick()
	d.now += 29700 * time.Millisecond
	d.tick()
	_, ok := d.Selected()
	assert.True(t, ok, "29.8 s later")
	d.now += 200 * time.Millisecond
	d.start = true
	assert.Equal(t, hal.Request{Verb: hal.Start, Recipe: "gentle"}, d.tick(), "the usual one, 30.1 s later")
}

func TestWhatIsRefused(t *testing.T) {
	afar := rules()
	afar.StartFromAfar, afar.ResetFromAfar = true, true
	for _, c := range []struct {
		about   string
		rules   presence.Rules
		status  supervisor.Status
		keys    keys
		command presence.Command
		want    string
	}{
		{"unknown recipe", rules(), supervisor.Status{}, keys{}, presence.Command{Verb: presence.Start, Recipe: "havy"},
			`there is no recipe "havy", allowed are gentle, heavy`},
		{"a session runs", rules(), supervisor.Status{Phase: recipe.Clean}, keys{}, presence.Command{Verb: presence.Start, Recipe: "heavy"},
			"it is in clean: a session can be started when the tank is idle"},
		{"hands are in the bath", afar, supervisor.Status{Phase: recipe.TurnOver, Recipe: "heavy"}, keys{}, presence.Command{Verb: presence.Start, Recipe: "heavy"},
			"the parts are being turned over: only the START button goes on"},
		{"reset from afar", rules(), supervisor.Status{}, keys{}, presence.Command{Verb: presence.Reset},
			"a reset takes the RESET button at the cabinet; the machine file can allow one from afar"},
		{"reset while RESET is pressed", afar, supervisor.Status{}, keys{reset: true}, presence.Command{Verb: presence.Reset},
			"the RESET button is pressed: let it go"},
		{"start while RESET is pressed", afar, supervisor.Status{}, keys{reset: true}, presence.Command{Verb: presence.Start, Recipe: "heavy"},
			"a button at the cabinet is pressed: let it go"},
		{"nothing", afar, supervisor.Status{}, keys{}, presence.Command{}, "nothing was asked; allowed are start, stop and reset"},
	} {
		d := newDesk(c.rules)
		d.status, d.keys = c.status, c.keys
		answer := d.send(c.command)
		verb := d.tick().Verb
		assert.NotEqual(t, hal.Start, verb, c.about)
		assert.Equal(t, c.keys.reset, verb == hal.Reset, c.about)
		assert.Equal(t, presence.Answer{Text: c.want}, <-answer, c.about)
		_, selected := d.Selected()
		assert.False(t, selected, c.about)
	}
}

func TestAMachineWithoutButtonsSaysSo(t *testing.T) {
	d := presence.New(rules(), nil)
	answer := make(chan presence.Answer, 1)
	d.Send(presence.Command{Verb: presence.Start, Recipe: "heavy", Answer: answer})
	assert.Equal(t, hal.Request{}, d.Ask(0, &supervisor.Status{}))
	assert.Equal(t, "a start takes the START button, and this machine has none; the machine file can allow one from afar", (<-answer).Text)
}

func TestAFullDeskAnswers(t *testing.T) {
	d := newDesk(rules())
	var last <-chan presence.Answer
	for range 9 {
		last = d.send(presence.Command{Verb: presence.Stop})
	}
	assert.Equal(t, presence.Answer{Text: "8 requests are waiting already; try again in a second"}, <-last)
}

// A reset from afar is pressed and let go, and acts then.
func TestAResetFromAfarIsLetGo(t *testing.T) {
	r := rules()
	r.ResetFromAfar = true
	d := newDesk(r)
	s := supervisor.New(supervisor.Config{}, supervisor.Kept{})
	answer := d.send(presence.Command{Verb: presence.Reset})
	assert.Equal(t, hal.Reset, d.tick().Verb)
	d.Told(s, nil)
	require.Empty(t, answer, "it has not acted yet")
	assert.Equal(t, hal.None, d.tick().Verb)
	d.Told(s, nil)
	assert.Equal(t, presence.Answer{OK: true, Text: "there was nothing to reset"}, <-answer)
}

// Whatever is pressed and asked: without the START button nothing is started
// unless the rules allow it, and each command gets exactly one answer.
func TestNothingStartsWithoutTheButton(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rules()
		r.ResetFromAfar = rapid.Bool().Draw(t, "reset from afar")
		d := newDesk(r)
		s := supervisor.New(supervisor.Config{}, supervisor.Kept{})
		var answers []<-chan presence.Answer
		was := false
		for range rapid.IntRange(1, 60).Draw(t, "ticks") {
			d.status.Phase = recipe.Phase(rapid.IntRange(0, int(recipe.PhaseCount)-1).Draw(t, "phase"))
			d.start, d.reset = rapid.Bool().Draw(t, "START"), rapid.Bool().Draw(t, "RESET")
			if rapid.Bool().Draw(t, "command") {
				verb := presence.Verb(rapid.IntRange(0, 4).Draw(t, "verb"))
				answers = append(answers, d.send(presence.Command{Verb: verb, Recipe: rapid.SampledFrom([]string{"gentle", "heavy", "x"}).Draw(t, "recipe")}))
			}
			request := d.tick()
			if request.Verb == hal.Start && (!d.start || was) {
				t.Fatalf("a start without a press")
			}
			was = d.start
			d.Told(s, nil)
		}
		d.start, d.reset = false, false
		for range 40 {
			d.tick()
			d.Told(s, nil)
		}
		for i, a := range answers {
			if len(a) != 1 {
				t.Fatalf("command %d got %d answers", i, len(a))
			}
		}
	})
}
