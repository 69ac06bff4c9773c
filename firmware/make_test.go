package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"hash/crc32"
	"os"
	"path/filepath"
	"strings"
	"time"

	"periph.io/x/conn/v3/physic"

	"bathtender/firmware/health"
	"bathtender/firmware/journal"
	"bathtender/firmware/recipe"
	"bathtender/firmware/supervisor"
	"bathtender/hal"
	"bathtender/hal/trace"
	"bathtender/interlock"
)

// makeJournal is the command make-journal of the scripts: it makes a journal, or
// goes on with one, out of made-up ticks. After the folder come steps, one after
// the other:
//
//	boot                          the program starts; a run that has not ended is killed
//	run=70s                       time passes
//	start trip second finding lockout reset refuse end close    what happens
//	silent                        fan 1 gives no reading from here on
//	day=2026-02-01T12:00:00Z      the wall clock is set
//	fill foil                     the owner notes it, of a program that does not run
//	waiting                       the owner notes it, of one that runs
//	newer                         a record of a newer version
func makeJournal() {
	flag.Parse()
	if err := build(flag.Arg(0), flag.Args()[1:]...); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// usualSteps are two runs of the program: one with a session, a trip and a
// lockout, one that is killed.
var usualSteps = []string{"boot", "run=2s", "start", "run=60s", "trip", "end", "run=100s", "lockout", "run=70s", "reset", "close",
	"day=2026-01-06T09:30:00Z", "boot", "start", "run=310s"}

const fingerprint = "0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef"

func madeCabinet() journal.Cabinet {
	return journal.Cabinet{
		Program: "0.1.0", Machine: fingerprint, Fans: 2, Banks: 3, Tick: 100 * time.Millisecond, Origin: trace.Synthetic, Seed: 7,
		Files: []journal.Copy{{Fingerprint: fingerprint, Data: []byte("machine")}, {Fingerprint: strings.Repeat("fedcba98", 8), Data: []byte("recipe")}},
	}
}

// maker makes a journal.
type maker struct {
	folder journal.Folder
	book   *journal.Book
	kept   supervisor.Kept
	wall   time.Time
	now    time.Duration
	n      int
	ask    hal.Request
	broken bool // fan 2
	silent bool // fan 1
}

func build(folder string, steps ...string) error {
	m := &maker{folder: journal.Folder(folder), wall: time.Date(2026, 1, 5, 8, 0, 0, 0, time.UTC)}
	if len(steps) == 0 {
		steps = usualSteps
	}
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return err
	}
	if _, err := m.folder.Read("kept.json"); err != nil {
		if err := journal.Create(m.folder); err != nil {
			return err
		}
	}
	for _, step := range steps {
		if err := m.step(step); err != nil {
			return fmt.Errorf("%s: %w", step, err)
		}
	}
	return nil
}

func (m *maker) step(step string) error {
	word, value, _ := strings.Cut(step, "=")
	trip := func(f interlock.Function, place int, first bool, text string) {
		e := interlock.Event{Kind: interlock.Tripped, Function: f, Place: uint8(place), FirstOut: first}
		m.tick(journal.Told{Event: supervisor.Event{Interlock: e}, Text: text})
	}
	sequence := func(e recipe.Event, text string) {
		m.tick(journal.Told{Event: supervisor.Event{Sequence: e}, Text: text})
	}
	switch word {
	case "boot":
		m.book, m.kept = journal.Open(m.folder, madeCabinet(), m.wall)
		m.wall, m.now, m.n, m.broken = m.wall.Add(m.now), 0, 0, false
	case "run":
		d, err := time.ParseDuration(value)
		if err != nil {
			return err
		}
		for range int(d / (100 * time.Millisecond)) {
			m.tick()
		}
	case "start":
		m.ask = hal.Request{Verb: hal.Start, Recipe: "gentle"}
		sequence(recipe.Event{Kind: recipe.Started, Recipe: 1}, `session of "gentle" begins`)
		m.ask = hal.Request{}
	case "trip":
		m.broken = true
		trip(interlock.AirflowLost, 1, true, "fan 2 at 310 rpm, below its 1500 rpm minimum for 1.0 s: emission stopped")
	case "silent":
		m.silent = true
	case "second":
		trip(interlock.CabinetHot, 0, false, "the cabinet is at 61.0 °C, over its 60 °C limit: emission stopped")
	case "finding":
		m.tick(journal.Told{Event: supervisor.Event{Health: health.Event{Kind: health.EmittersShort}}, Text: "bank 3 is 41 W short: one emitter's worth"})
	case "lockout":
		m.kept.Lockouts = m.kept.Lockouts.With(interlock.SlotOf(interlock.BathHighLimit, 0))
		trip(interlock.BathHighLimit, 0, true, "bath probe A at 85.1 °C, over the machine's 85 °C limit: contactor opened and locked out")
	case "reset":
		m.kept.Lockouts = interlock.Set{}
		m.tick(journal.Told{Event: supervisor.Event{Interlock: interlock.Event{Kind: interlock.WasReset, Function: interlock.BathHighLimit}}, Text: "bath high limit has been reset"})
	case "refuse":
		sequence(recipe.Event{Kind: recipe.StartRefused}, `start of "gentle" refused: the lid is open`)
	case "end":
		m.kept.Record.Sessions++
		sequence(recipe.Event{Kind: recipe.Ended, Reason: recipe.Finished}, `session of "gentle" ends in clean: its work is done`)
	case "close":
		return m.book.Close(m.wall.Add(m.now))
	case "day":
		day, err := time.Parse(time.RFC3339, value)
		m.wall, m.now = day, 0
		return err
	case "fill", "foil":
		return m.note(word, false)
	case "waiting":
		return m.note("fill", true)
	case "newer":
		return m.newer()
	default:
		return fmt.Errorf("there is no such step")
	}
	return nil
}

// tick puts one tick in, with what happened at it.
func (m *maker) tick(told ...journal.Told) {
	m.now += 100 * time.Millisecond
	m.n++
	item := journal.Item{Wall: m.wall.Add(m.now), Told: told, Row: trace.Row{HasOutputs: true, Request: m.ask}}
	r := &item.Row
	r.Time = m.now
	r.Probes[hal.BathA] = hal.Aged(physic.ZeroCelsius+60*physic.Celsius+physic.Temperature(m.n)*physic.Celsius/1000, 300*time.Millisecond)
	r.Probes[hal.BathB] = hal.Aged(physic.ZeroCelsius+60*physic.Celsius, 300*time.Millisecond)
	r.Meter.Watts = hal.Fresh(360 * physic.Watt)
	r.Fans[0], r.Fans[1] = hal.Fresh(2600*hal.RPM), hal.Fresh(2600*hal.RPM)
	if m.broken {
		r.Fans[1] = hal.Fresh(310 * hal.RPM)
	}
	if m.silent {
		r.Fans[0] = hal.Reading[hal.RotationalSpeed]{}
	}
	r.Contacts = hal.Contacts{LevelOK: hal.Closed, LidClosed: hal.Open, StopClosed: hal.Closed}
	r.OutputsOK, r.RecordOK, r.KeptOK = true, true, true
	r.Outputs = hal.Outputs{Contactor: true, Fans: true, Banks: hal.FirstBanks(2)}
	for i, e := range told {
		if i > 0 {
			r.Events += "; "
		}
		r.Events += e.Text
	}
	if m.n%100 == 1 {
		item.State = &supervisor.State{Today: int32(m.n)}
	}
	if len(told) > 0 {
		kept := m.kept
		item.Kept, item.Estimates = &kept, &interlock.Estimates{}
		item.Estimates.Volume = hal.Fresh(19 * hal.Litre)
		for i := range 3 {
			item.Estimates.Bank[i] = hal.Fresh(physic.Power(80-i) * physic.Watt)
			item.Estimates.Baseline[i] = 81 * physic.Watt
		}
	}
	m.book.Take(&item)
}

func (m *maker) note(kind string, running bool) error {
	e := &journal.Entry{Wall: journal.Wall{Time: m.wall.Add(m.now)}, Program: "0.1.0", Note: &journal.Note{ID: kind + m.wall.Format("0102")}}
	switch kind {
	case "fill":
		e.Kind, e.Text, e.Note.Litres = journal.FillKind, "fresh water", 19.8
	case "foil":
		passed := false
		e.Kind, e.Text, e.Note.Passed = journal.FoilTestKind, "no pits over bank 3", &passed
	}
	if running {
		e.Text, e.Note.ID = "two tumblers of water", "waiting"
		lock, err := m.folder.Lock()
		if err != nil {
			return err
		}
		defer lock.Close()
	}
	recorded, err := journal.Submit(m.folder, e)
	if err == nil && recorded == running {
		err = fmt.Errorf("recorded: %v", recorded)
	}
	return err
}

// newer adds a record as a newer version might write it, of a kind and with
// members that this one does not know.
func (m *maker) newer() error {
	number := 1
	if _, err := journal.Read(m.folder, func(e *journal.Entry, _ []byte) bool { number = int(e.Seq) + 1; return true }); err != nil {
		return err
	}
	body, err := json.Marshal(map[string]any{
		"seq": number, "wall": "2031-01-31T12:00:00.000Z", "mono_s": 1.5, "boot": 9, "program": "7.0", "machine": "m", "kind": "rinse",
		"text": "rinsed\nwith \u001b[31mred\u001b[0m water", "colour": map[string]int{"red": 1},
		"trip": map[string]any{"function": "new one", "place": 4, "depth": 3, "readings": map[string]any{"ph": 7.5, "bath_a_degC": 41, "out_rinse": "1"}},
	})
	if err != nil {
		return err
	}
	body = body[:len(body)-1]
	line := fmt.Sprintf("%s,\"crc\":\"%08x\"}\n", body, crc32.Checksum(body, crc32.MakeTable(crc32.Castagnoli)))
	file, err := os.OpenFile(filepath.Join(string(m.folder), "journal-0000000001.jsonl"), os.O_APPEND|os.O_WRONLY|os.O_CREATE, 0o644)
	if err != nil {
		return err
	}
	defer file.Close()
	_, err = file.WriteString(line)
	return err
}
