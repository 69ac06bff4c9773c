package screen

import (
	"encoding/json"
	"flag"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"bathtender/firmware/status"
	"bathtender/firmware/status/example"
)

var update = flag.Bool("update", false, "write the screens that are compared with anew")

// long is a view in which whatever can be long is.
func long() status.View {
	v := example.Tripped()
	v.Machine = strings.Repeat("a very long name ", 30)
	v.Session.Recipe = strings.Repeat("recipe", 40)
	v.Latched[0].Name, v.Latched[0].Text = strings.Repeat("name", 50), strings.Repeat("why and ", 50)
	v.Latched = append(v.Latched, status.Latch{Name: "bath high limit", Lockout: true, Text: strings.Repeat("浴槽", 80)})
	v.FirstOut.Text = strings.Repeat("first ", 60)
	v.Permits[0].Why = []string{strings.Repeat("because ", 60)}
	v.Care = []string{strings.Repeat("care ", 60), strings.Repeat("more ", 60)}
	v.Contacts[0].Name = strings.Repeat("contact", 30)
	v.Journal = status.Journal{Why: strings.Repeat("the card is full ", 20)}
	return v
}

// many is a view of a tank with as many banks and fans as there can be.
func many() status.View {
	v := example.Clean()
	for i := 6; i < 16; i++ {
		v.Banks = append(v.Banks, status.Bank{Bank: i + 1, Baseline: 80, On: i != 11})
	}
	v.Banks[9].OutOfService = true
	for i := 2; i < 8; i++ {
		v.Fans = append(v.Fans, status.Fan{Fan: i + 1, Minimum: 1500})
	}
	return v
}

func TestScreensAreAsTheyWere(t *testing.T) {
	for name, v := range map[string]status.View{"idle": example.Idle(), "preheat": example.Preheat(), "clean": example.Clean(),
		"tripped": example.Tripped(), "nothing-known": {}, "long-names": long(), "many-banks": many()} {
		for _, width := range []int{80, 40} {
			text := Text(&v, width, Lines, false)
			checkSize(t, text, width, Lines)
			file := filepath.Join("testdata", name+map[int]string{80: "", 40: "-narrow"}[width]+".txt")
			if *update {
				require.NoError(t, os.WriteFile(file, []byte(text), 0o644))
			}
			want, err := os.ReadFile(file)
			require.NoError(t, err)
			assert.Equal(t, string(want), text, file)
		}
	}
}

func checkSize(t interface {
	Helper()
	Errorf(string, ...any)
}, text string, wide, high int) {
	t.Helper()
	lines := strings.Split(strings.TrimSuffix(text, "\n"), "\n")
	if len(lines) > high {
		t.Errorf("%d lines, allowed are %d", len(lines), high)
	}
	for _, l := range lines {
		if width(l) > wide {
			t.Errorf("%d columns, allowed are %d: %q", width(l), wide, l)
		}
		if strings.ContainsAny(l, "\x1b\x00\r\t\a\b") || !utf8.ValidString(l) {
			t.Errorf("a line that could steer a terminal: %q", l)
		}
		if strings.Contains(l, "NaN") || strings.Contains(l, "Inf") {
			t.Errorf("a number that is none: %q", l)
		}
	}
}

// A glance must answer what it is doing, how long still, whether hands may go in,
// and what wants attention, in this order and above all readings.
func TestWhatMattersStandsFirst(t *testing.T) {
	v := example.Tripped()
	text := Text(&v, 80, Lines, false)
	at := -1
	for _, want := range []string{"RUN-ON", "fans stop in 1 min 35 s", "HANDS OUT OF THE BATH", "airflow lost, fan 2", "bath   "} {
		place := strings.Index(text, want)
		assert.Greater(t, place, at, want)
		at = place
	}
}

func TestColourOnlyRepeatsTheWords(t *testing.T) {
	for _, v := range []status.View{example.Idle(), example.Tripped(), long(), {}} {
		coloured := Text(&v, 80, Lines, true)
		assert.Contains(t, coloured, "\x1b[")
		assert.Equal(t, Text(&v, 80, Lines, false), regexp.MustCompile(`\x1b\[[0-9;]*m`).ReplaceAllString(coloured, ""))
	}
}

// texts are what a view may hold: also what steers a terminal, and wide letters.
var texts = rapid.OneOf(rapid.String(), rapid.SampledFrom([]string{"", "\x1b[2J\x1b[H", "a\nb\tc\r", "\xff\xfe", "浴槽の温度", "e\u0301\u200b\u202e", "🛁🛁", strings.Repeat("x", 300)}))

var numbers = rapid.OneOf(rapid.Float64(), rapid.SampledFrom([]float64{0, -1, math.NaN(), math.Inf(1), math.Inf(-1), math.MaxFloat64, 1e-300, 1e15}))

// draw draws any view at all.
func draw(t *rapid.T) status.View {
	some := rapid.Ptr(numbers, true)
	text := func() string { return texts.Draw(t, "text") }
	number := func() float64 { return numbers.Draw(t, "number") }
	known := func() *float64 { return some.Draw(t, "known") }
	yes := func() bool { return rapid.Bool().Draw(t, "yes") }
	count := func() int { return rapid.IntRange(0, 20).Draw(t, "count") }
	whole := func() int { return rapid.IntRange(-3, 1000).Draw(t, "whole") }
	v := status.View{Format: rapid.IntRange(0, 1).Draw(t, "format"), Program: text(), Machine: text(), Origin: text(), Uptime: number()}
	v.Session = status.Session{Phase: rapid.OneOf(texts, rapid.SampledFrom([]string{"idle", "clean", "run-on", "turn-over"})).Draw(t, "phase"), Recipe: text(),
		Side: whole(), Sides: whole(), PhaseLeft: number(), Left: number(), LeftKnown: yes(), Progress: number(), RollCall: whole()}
	if yes() {
		v.Selected = &status.Selected{Recipe: text(), Left: number()}
	}
	v.Bath = status.Bath{A: known(), B: known(), Set: known(), Limit: known(), LimitMachine: number(), ToSet: known(), AtEnd: known()}
	v.Cabinet = status.Cabinet{Air: known(), Limit: number()}
	v.Mains = status.Mains{Volts: known(), Watts: known(), Amperes: known(), Hertz: known()}
	for range count() {
		v.Banks = append(v.Banks, status.Bank{Bank: whole(), On: yes(), Watts: known(), Baseline: number(), OutOfService: yes()})
	}
	for range count() {
		v.Fans = append(v.Fans, status.Fan{Fan: whole(), Speed: known(), Minimum: number(), Required: yes()})
	}
	days := whole()
	v.Liquid = status.Liquid{Litres: known(), Band: known(), Minimum: number(), Fill: number(), Evaporating: known(), ToMinimum: known(), Days: &days, Emission: number()}
	v.Outputs = status.Outputs{Contactor: yes(), Fans: yes(), Heater: yes(), Sounder: yes(), Lamp: yes()}
	for range count() {
		v.Contacts = append(v.Contacts, status.Contact{Name: text(), State: text()})
		v.Permits = append(v.Permits, status.Permit{Name: text(), Given: yes(), Why: []string{text(), text()}})
		v.Latched = append(v.Latched, status.Latch{Name: text(), Lockout: yes(), Stands: yes(), Text: text()})
		v.Recent = append(v.Recent, status.Happened{Ago: number(), Kind: text(), Text: text()})
		v.Care = append(v.Care, text())
	}
	if yes() {
		v.FirstOut = &status.FirstOut{Text: text(), Ago: number()}
	}
	v.Journal, v.Loop = status.Journal{OK: yes(), Why: text()}, status.Loop{Late: uint64(count()), Worst: number()}
	return v
}

func TestAnyViewFitsTheScreen(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := draw(t)
		wide, high := rapid.IntRange(-5, 200).Draw(t, "width"), rapid.IntRange(4, 60).Draw(t, "height")
		text := Text(&v, wide, high, false)
		checkSize(t, text, min(max(wide, 20), 80), high)
		Text(&v, wide, high, true)
	})
}

// No letter may take more columns than is reckoned: against Python's table of the
// Unicode Standard Annex 11.
func TestLettersTakeNoMoreColumnsThanReckoned(t *testing.T) {
	python, err := exec.LookPath("python3")
	if err != nil {
		if os.Getenv("BATHTENDER_CI") == "1" {
			t.Fatal("python3 is missing: install the package python3")
		}
		t.Skip("python3 is missing")
	}
	out, err := exec.Command(python, "-c", `
import json, unicodedata
print(json.dumps([i for i in range(0x20, 0x110000) if unicodedata.east_asian_width(chr(i)) in "WF"
	and unicodedata.category(chr(i)) not in ("Cn", "Co", "Cs", "Mn", "Me", "Cf")]))`).Output()
	require.NoError(t, err)
	var wide []rune
	require.NoError(t, json.Unmarshal(out, &wide))
	require.Greater(t, len(wide), 90000)
	for _, c := range wide {
		if columns(c) < 2 {
			t.Errorf("%U is wide", c)
		}
	}
	for _, c := range "°±…−#.[]/" {
		assert.Equal(t, 1, columns(c), "%c", c)
	}
}
