package bench

import (
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"bathtender/hal/trace"
	"bathtender/sim/report"
	"bathtender/sim/scenario"
)

// typed is lines as they are typed; it notes what was asked with.
type typed struct {
	lines   []string
	prompts []string
}

func (l *typed) Next(prompt string) (string, error) {
	l.prompts = append(l.prompts, prompt)
	if len(l.lines) == 0 {
		return "", io.EOF
	}
	line := l.lines[0]
	l.lines = l.lines[1:]
	return line, nil
}

// talk types lines and returns what came of it.
func talk(t *testing.T, keep *Kept, stopped func() bool, lines ...string) (talked *Talk, asked []string, out, failed string) {
	var text, fails bytes.Buffer
	in := &typed{lines: lines}
	talked = &Talk{
		Source: &Source{Name: "prompt", Load: load}, Lines: in, Keep: keep,
		Session: &Session{
			Out: &text, Stopped: stopped,
			Tell: func(l scenario.Line) { text.WriteString(report.Clock(l.At) + " " + l.Text + "\n") },
			Fail: func(sentence string) { fails.WriteString(sentence + "\n") },
		},
	}
	require.NoError(t, talked.Run())
	return talked, in.prompts, text.String(), fails.String()
}

func TestATalkGoesOnAfterASlip(t *testing.T) {
	talked, asked, out, failed := talk(t, nil, nil, "set bath 41 degC", "wiat 2 s", "", "# a note", "wait 1.5 s", "expect no trip", "expect heater on", "quit", "wait 1 h")
	assert.Equal(t, []string{"0:00:00> ", "0:00:00> ", "0:00:00> ", "0:00:00> ", "0:00:00> ", "0:00:01.5> ", "0:00:01.5> ", "0:00:01.5> "}, asked)
	assert.Empty(t, out)
	assert.Equal(t, `prompt:2:1: there is no statement "wiat", did you mean wait? allowed are `+strings.Join(statementWords[:len(statementWords)-1], ", ")+" and use\n"+
		"prompt:7:8: expected heater on, but the heater is off\n", failed)
	assert.Equal(t, 1, talked.Wrong)
	assert.Equal(t, 1, talked.Failed)
	assert.Equal(t, 2, talked.Expected)
}

// What was kept does the same again, also where it was cut short and where files
// were used from another folder.
func TestWhatWasKeptDoesTheSameAgain(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, "a b"), 0o755))
	path := filepath.Join(dir, "a b", "kept.txt")
	keep, err := Keep(path)
	require.NoError(t, err)
	asked := 0
	stopped := func() bool { // an interrupt while the hour is waited for
		asked++
		return asked == 300
	}
	recipeFile, err := filepath.Abs("../../testdata/scenarios/recipes/long-sides.toml")
	require.NoError(t, err)
	first, _, out, failed := talk(t, keep, stopped,
		"# The fan is held.", "use recipe \""+recipeFile+"\"", "set bath 46 degC", "nonsense", "start long   sides # go", "wait 1 h", "set fan 2 0 rpm", "wait 2 s",
		`expect tripped "airflow lost" fan 2, heater on`, "restart", "wait 1 s", "show")
	require.NoError(t, keep.Close())
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	relative, err := filepath.Rel(filepath.Dir(path), recipeFile)
	require.NoError(t, err)
	assert.Equal(t, `# Kept from a bench.
# The fan is held.
use recipe "`+filepath.ToSlash(relative)+`"
set bath 46 degC
start long sides
wait 29900 ms
set fan 2 0 rpm
wait 2 s
expect tripped "airflow lost" fan 2, heater on
restart
wait 1 s
show
`, string(text))
	again := play(t, path, string(text), nil)
	assert.Equal(t, out, again.text)
	assert.Equal(t, first.Failed, len(again.failures))
	assert.Equal(t, first.Bench.Snapshot, again.bench.Snapshot)
	assert.Contains(t, failed, "nonsense")

	_, err = Keep(path)
	assert.ErrorContains(t, err, "the file exists already; allowed is a new name, since what was kept is never overwritten")
	_, err = Keep(filepath.Join(dir, "none", "x"))
	assert.ErrorContains(t, err, "what is typed cannot be kept")
}

func TestAnInterruptBeforeTheFirstTickIsKeptAsNone(t *testing.T) {
	talked, _, _, _ := talk(t, nil, func() bool { return true }, "wait 1 h", "wait until phase clean", "hold reset for 2 s")
	assert.Zero(t, talked.Bench.Now())
	assert.Equal(t, []string{"# cut short at once: wait", "# cut short at once: wait", "# cut short at once: hold reset for"}, talked.done)
}

func TestHistoryHelpShowAndExplain(t *testing.T) {
	_, _, out, failed := talk(t, nil, nil, "explain", "set bath 41 degC old 1 s", "set bath b ageing", "set cabinet nothing", "ramp fan 1 to 310 rpm in 4 s", "set bank 2 40 W",
		"set lid open", "set journal bad", "start gentle", "wait 1 s", "show", "explain", "history", "help expect")
	assert.Contains(t, failed, "prompt:3:12: bath b needs a value")
	for _, line := range []string{
		"  the program has not ticked yet",
		"  clock     0:00:01.3",
		"  session   idle",
		"  bath      bath a 41 °C old 1 s*, bath b 41 °C old 1 s*, cabinet nothing*",
		"  meter     watts 6 W, mains 230 V",
		"  fans      fan 1 101 rpm to 310 rpm in 2.7 s*, fan 2 0 rpm",
		"  contacts  level, stop, leak closed; lid*, contactor open; kept, outputs good; journal bad*",
		"  loads     heater 1000 W, bank 1 81 W, bank 2 40 W*, bank 3 81 W, bank 4 81 W, bank 5 81 W, bank 6 81 W",
		"  outputs   contactor off, fans off, heater off, banks 000000, sounder off, lamp off, watchdog fed",
		"  permits   contactor given, heater withheld, emission withheld, start withheld, banks 111111",
		`  delays    "probe fault" cabinet 1.2 s of 2 s, "lid open" 0.5 s of 0.5 s`,
		"  tripped   none",
		`  held      "lid open", "record unwritable"`,
		"  first-out none",
		"  - probe fault, the cabinet probe: no reading, delay at 1.2 of 2.0 s",
		"   1  explain",
		"   9  wait 1 s",
		"    said \"SENTENCE\"",
	} {
		assert.Contains(t, out, line+"\n")
	}
	for _, topic := range Topics {
		_, _, out, failed := talk(t, nil, nil, "help "+topic.Word)
		assert.Empty(t, failed)
		assert.Contains(t, out, topic.About)
	}
	words := make([]string, len(Topics))
	for i := range Topics {
		words[i] = Topics[i].Word
	}
	assert.Equal(t, statementWords, words, "help tells every statement")
}

// A trace that cannot be written ends the session with its own sentence.
func TestATraceThatCannotBeWrittenEndsTheSession(t *testing.T) {
	full := errors.New("the disk is full")
	b, s := demo(t)
	s.Ticked = func(*Bench) error { return full }
	st, err := (&Source{Name: "s", Load: load}).Next("wait 1 s")
	require.NoError(t, err)
	_, on, err := s.Do(st)
	assert.False(t, on)
	assert.ErrorIs(t, err, full)
	assert.Equal(t, 100*time.Millisecond, b.Now())
}

// A restart begins another trace, with the state that the program starts from.
func TestARestartBeginsAnotherTrace(t *testing.T) {
	b, s := demo(t)
	path := filepath.Join(t.TempDir(), "t.csv")
	traces, err := NewTraces(path, b)
	require.NoError(t, err)
	s.Ticked, s.Restarted = traces.Tick, traces.Restart
	source := &Source{Name: "s", Load: load}
	for _, line := range []string{"set contactor closed", "wait 2 s", "restart after 1 s", "wait 1 s"} {
		st, err := source.Next(line)
		require.NoError(t, err)
		_, _, err = s.Do(st)
		require.NoError(t, err)
	}
	require.NoError(t, traces.Close())
	require.NoError(t, traces.Close(), "once more does no harm")
	assert.Equal(t, []string{path, strings.TrimSuffix(path, ".csv") + "-2.csv"}, traces.Paths)
	for i, path := range traces.Paths {
		recording, err := trace.Open(path)
		require.NoError(t, err)
		assert.Equal(t, trace.Synthetic, recording.Metadata.Origin)
		assert.Equal(t, i > 0, recording.Metadata.State != "")
		rows := 0
		var row trace.Row
		for recording.Next(&row) == nil {
			rows++
		}
		assert.Equal(t, []int{20, 10}[i], rows)
		require.NoError(t, recording.Close())
	}
	_, err = NewTraces(path, b)
	assert.ErrorContains(t, err, "exists already")
}

func TestLinesThatDoNotComeFromATerminal(t *testing.T) {
	p := NewPlain(strings.NewReader("one\r\ntwo\n\nthree"))
	for _, want := range []string{"one", "two", "", "three"} {
		line, err := p.Next("ignored")
		require.NoError(t, err)
		assert.Equal(t, want, line)
	}
	_, err := p.Next("")
	assert.Equal(t, io.EOF, err)
	_, err = NewPlain(strings.NewReader(strings.Repeat("x", plainMost+1))).Next("")
	assert.EqualError(t, err, "a line is longer than 65536 bytes, allowed are lines of statements")
	_, err = NewPlain(broken{}).Next("")
	assert.EqualError(t, err, "the statements cannot be read: cable pulled")
}

type broken struct{}

func (broken) Read([]byte) (int, error) { return 0, errors.New("cable pulled") }

func TestTheTabulatorCompletesWhatCanOnlyBeOneThing(t *testing.T) {
	for line, want := range map[string]string{
		"":                      "",
		"f":                     "follow ",
		"re":                    "res",
		"sh":                    "show ",
		"set le":                "set le",
		"set lea":               "set leak ",
		"start h":               "start heavy ",
		"hold st":               "hold st",
		"expect wat":            "expect watchdog ",
		"expect no trip":        "expect no trip",
		"expect phase c":        "expect phase clean ",
		"expect heater off, em": "expect heater off, emission ",
		"set lid cl":            "set lid closed ",
		"zzz":                   "zzz",
		"help his":              "help history ",
	} {
		assert.Equal(t, want, (&Source{Name: "prompt", Load: load}).Complete(line), "%q", line)
	}
}
