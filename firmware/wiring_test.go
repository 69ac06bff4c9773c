package main

import (
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/firmware/cli"
	"bathtender/firmware/journal"
	"bathtender/firmware/machine"
	"bathtender/hal"
	"bathtender/hal/board"
	"bathtender/testdata"
)

// bench is a board that is tried, with a clock that does not wait.
type bench struct {
	pulsed []string
	looks  int
	fail   error
	warm   float64
}

func (b *bench) Answers() []board.Answer {
	b.looks++
	lid := "closed"
	if b.looks > 6 {
		lid = "open"
	}
	return []board.Answer{
		{Name: "bank 1", OK: true, Text: "off"}, {Name: "lid switch", OK: true, Text: lid},
		{Name: "fan 1 tach", OK: true, Text: "the fan stands"}, {Name: "bath probe A", Text: "no reading"},
	}
}

func (b *bench) Pulse(output string, during time.Duration) error {
	b.pulsed = append(b.pulsed, output)
	return b.fail
}

func try(t *testing.T, b *bench, input string) (said, wrong string, found []string) {
	data, err := testdata.FS.ReadFile("machines/slide-tank.toml")
	require.NoError(t, err)
	m, err := machine.Parse("slide-tank.toml", data)
	require.NoError(t, err)
	var out, errs strings.Builder
	up := &bringUp{
		Streams: cli.Streams{In: strings.NewReader(input), Out: &out, Err: &errs}, machine: m, trial: b,
		pause: func(time.Duration) { b.warm += 0.5 },
		probes: func() (shown [hal.MaxProbes]*float64) {
			a, c := 21.0, 21+b.warm
			shown[hal.BathA], shown[hal.BathB] = &a, &c
			return shown
		},
	}
	up.talk()
	return out.String(), errs.String(), up.found
}

func TestAnOutputIsSwitchedOnOnlyAfterItsName(t *testing.T) {
	b := &bench{}
	said, wrong, found := try(t, b, "pulse bank 1\nbank 1\npulse bank 2\nyes\npulse heater\n")
	assert.Equal(t, []string{"bank 1"}, b.pulsed)
	assert.Contains(t, said, "type \"bank 1\" again to switch it on:\nbank 1 was on for 1 s, and read back on and then off\n")
	assert.Equal(t, "\"bank 2\" was not typed again: nothing is switched on\n\"heater\" was not typed again: nothing is switched on\n", wrong)
	assert.Equal(t, []string{"bank 1 went on and off as commanded"}, found)
}

func TestTheContactorIsLockedOut(t *testing.T) {
	b := &bench{}
	_, wrong, _ := try(t, b, "pulse contactor\ncontactor\npulse kettle\n")
	assert.Empty(t, b.pulsed)
	assert.Contains(t, wrong, "the contactor is locked out: it would put mains on what is behind it\n")
	assert.Contains(t, wrong, `"kettle" is no output of this machine, allowed are fans, heater, bank 1, bank 2, bank 3, bank 4, bank 5, bank 6, heartbeat, sounder, lamp`)
}

func TestAPulseThatFailsIsSaidAndKept(t *testing.T) {
	b := &bench{fail: errors.New("bank 1 was set on, and reads off")}
	_, wrong, found := try(t, b, "pulse bank 1\nbank 1\n")
	assert.Equal(t, "bank 1 was set on, and reads off\n", wrong)
	assert.Equal(t, []string{"bank 1: bank 1 was set on, and reads off"}, found)
}

func TestLookingShowsWhatChanges(t *testing.T) {
	said, wrong, found := try(t, &bench{}, "look\nlook for 2 s\nlook for ever\nlook for 1 h\n")
	assert.Contains(t, said, "  bath probe A  SILENT   no reading\n1 of 4 do not answer: what depends on them will not be permitted\n")
	assert.Equal(t, 1, strings.Count(said, "  lid switch       closed\n"))
	assert.Equal(t, 1, strings.Count(said, "  lid switch       open\n"))
	assert.Equal(t, []string{"silent: bath probe A", "lid switch was seen open"}, found)
	assert.Contains(t, wrong, `time "1 h" is out of range, allowed is up to 10 min`)
}

func TestTheProbeThatIsWarmed(t *testing.T) {
	said, wrong, found := try(t, &bench{}, "warm\njump\nfan 3\n")
	assert.Contains(t, said, "it is bath probe B, address 28-0000000b0002: from 21.0 to 23.0 °C\n")
	assert.Equal(t, []string{"the probe that was warmed is bath probe B, address 28-0000000b0002"}, found)
	assert.Contains(t, wrong, "\"jump\" is not understood; help lists the words\n")
	assert.Contains(t, wrong, "fan \"3\" does not exist, allowed are 1 to 2\n")
}

func TestAFanIsSpun(t *testing.T) {
	b := &bench{}
	said, wrong, found := try(t, b, "fan 1\nfans\nend\nlook\n")
	assert.Empty(t, wrong)
	assert.Equal(t, []string{"fans"}, b.pulsed)
	assert.NotContains(t, said, "look")
	require.Len(t, found, 1)
	assert.Contains(t, found[0], "fan 1 tach, after 8 s")
}

func TestWhatWasFoundIsInTheJournal(t *testing.T) {
	folder := journal.Folder(t.TempDir())
	require.NoError(t, journal.Create(folder))
	b := &bringUp{Streams: cli.Streams{Out: &strings.Builder{}}}
	for range 3 {
		b.found = append(b.found, strings.Repeat("x", 200))
	}
	b.found = append(b.found, "lid switch was seen open\nand shut")
	require.NoError(t, b.keep(folder))
	entries, damages, err := journal.All(folder)
	require.NoError(t, err)
	assert.Empty(t, damages)
	require.Len(t, entries, 2)
	assert.Equal(t, journal.NoteKind, entries[0].Kind)
	assert.True(t, strings.HasSuffix(entries[1].Text, "; lid switch was seen open and shut"), entries[1].Text)
	for _, e := range entries {
		assert.LessOrEqual(t, len(e.Text), textMost)
	}
}
